"""The drawings: what they say, that nothing on them lies over anything else, that their lines are the files' lines."""

from __future__ import annotations

import itertools
import math
import re
import xml.etree.ElementTree as ET
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cut.features import Hole, Pocket
from cutpath.cut.paths import cut_path
from cutpath.cut.relief import relieved
from cutpath.cut.relief_kinds import reach_past
from cutpath.design.stair import candidates, choose
from cutpath.job.values import Cutter, Job, Layers, Machine, Pad, SillNotch, Site, StairSpec, StockBoards, StringerSpec
from cutpath.nest.values import Board, Layout, Placed
from cutpath.outline import half_turn, shift, straight
from cutpath.pictures import board_svg, corner_svg, stair_svg, stringer_svg
from cutpath.pictures.notches import nearest_behind, stringer_view
from cutpath.pictures.room import crosses, spread
from cutpath.pictures.scene import scene_of
from cutpath.pictures.words import cut_to, size_text, span, wrapped
from cutpath.plan.drawn import design
from cutpath.plan.values import Plan
from cutpath.rules.values import Limit, RuleSet
from cutpath.tolerances import SAME_POINT
from cutpath.units import numbered_parts
from tests.jobs import board_work, job_with
from tests.jobs import plan_of as planned

IN = 25.4
NO_RULES = RuleSet("none", "no limits", ())
SVG = "{http://www.w3.org/2000/svg}"


def show(mm: float) -> str:
    return f"{mm:.6g} mm"


def job(**changes: object) -> Job:
    """An eight-riser stair in inches: case A of the check values, and more where asked for.

    Keys name fields of the job's tables.
    """
    tables: list[tuple[str, object]] = [
        ("site", Site(None, 58 * IN, 0.0, 0.0)),
        ("stair", StairSpec("none", "one-below", 10.5 * IN, None, 8, 42 * IN, 1.5 * IN, 0.0, IN, IN, None)),
        ("stringer", StringerSpec(3, 5 * IN, "factory", 0.0, None, 3 * IN, 0.0)),
        ("cutter", Cutter("router", 0.375 * IN, "relieved", "design", 0.5 * IN)),
        ("machine", Machine(None, 0.5 * IN, 0.25 * IN)),
    ]
    left = dict(changes)
    made = {}
    for name, table in tables:
        own = {key: left.pop(key) for key in list(left) if key in type(table).__slots__}  # type: ignore[attr-defined]
        made[name] = replace(table, **own)  # type: ignore[type-var]
    stock = left.pop("stock", (StockBoards("2x12", 1.5 * IN, 11.25 * IN, 11.25 * IN, 144 * IN, None, None, ()),))
    units = left.pop("units", "in")
    title = left.pop("name", "Porch")
    assert not left, left
    return Job(units, title, **made, stock=stock, layers=Layers(), dxf_version="r2000")  # type: ignore[arg-type]


def plan_of(made: Job, rules: RuleSet = NO_RULES, per_board: int = 1) -> Plan:
    """A plan with its parts laid end to end, every other one turned end for end."""
    choice = choose(candidates(made.site, made.stair, rules, show), show)
    stock = made.stock[0]
    drawn = design(made, rules, choice.stair, stock.least_width, show)
    trim = made.stringer.edge_trim if made.stringer.edges == "trimmed" else 0.0
    lift, length = stock.least_width - trim - drawn.part.width, drawn.stringer.length
    boards, x = [], made.machine.end_trim
    parts: list[Placed] = []
    for k in range(made.stringer.count):
        turned = k % 2 == 1
        low = trim if turned else lift
        motion = half_turn(length, drawn.part.width).then(x, low) if turned else shift(x, low)
        parts.append(Placed(drawn.parts[0].name, motion, turned, x, low))
        x += length + made.part_gap
        if len(parts) == per_board or k == made.stringer.count - 1:
            used = x - made.part_gap
            board = replace(stock, length=max(stock.length, used + made.machine.end_trim))
            boards.append(Board(board, tuple(parts), used, board.length - used))
            parts, x = [], made.machine.end_trim
    total = sum(b.stock.length for b in boards)
    return Plan(made, rules, choice, drawn, Layout(tuple(boards), "length", None, total, total, 0.5))


def drawings(plan: Plan) -> dict[str, str]:
    found = {"stair": stair_svg(plan), "stringer": stringer_svg(plan)}
    corners = corner_svg(plan)
    found |= {"corner": corners} if corners else {}
    return found | {f"board {i}": board_svg(plan, i, board_work(plan, i)) for i in range(len(plan.layout.boards))}


# Reading a drawing back


def words(svg: str) -> list[str]:
    return [t.text or "" for t in ET.fromstring(svg).iter(f"{SVG}text")]


def text_boxes(root: ET.Element) -> list[tuple[str, shapely.Polygon]]:
    """Each text's box by an estimate of its own: capitals and descenders, and the widths of `span`."""
    default = float(root.attrib["font-size"])
    boxes = []
    for t in root.iter(f"{SVG}text"):
        size = float(t.get("font-size", default))
        width = span(t.text or "", size, t.get("font-weight") == "bold")
        start = {None: 0.0, "middle": -width / 2, "end": -width}[t.get("text-anchor")]
        turn = t.get("transform")
        if turn is None:
            x, y = float(t.attrib["x"]), float(t.attrib["y"])
            box = shapely.box(x + start, y - 0.75 * size, x + start + width, y + 0.22 * size)
        else:
            match = re.fullmatch(r"translate\((\S+) (\S+)\) rotate\(-90\)", turn)
            assert match, turn
            x, y = float(match[1]), float(match[2])
            box = shapely.box(x - 0.75 * size, y - start - width, x + 0.22 * size, y - start)
        boxes.append((t.text or "", box))
    return boxes


def svg_arc(x0: float, y0: float, r: float, large: int, sweep: int, x1: float, y1: float) -> list[tuple[float, float]]:
    """Points along an arc of a path (SVG 1.1, appendix F.6.5: from ends to centre, one radius)."""
    half = math.dist((x0, y0), (x1, y1)) / 2
    r = max(r, half)
    rise = math.sqrt(r * r - half * half) * (1 if large != sweep else -1)
    cx = (x0 + x1) / 2 - rise * (y1 - y0) / (2 * half)
    cy = (y0 + y1) / 2 + rise * (x1 - x0) / (2 * half)
    a0, a1 = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
    turn = (a1 - a0) % math.tau if sweep else -((a0 - a1) % math.tau)
    return [(cx + r * math.cos(a0 + turn * k / 16), cy + r * math.sin(a0 + turn * k / 16)) for k in range(1, 17)]


def path_lines(data: str) -> list[list[tuple[float, float]]]:
    runs: list[list[tuple[float, float]]] = []
    for letter, rest in re.findall(r"([MLAZ])([^MLAZ]*)", data):
        v = [float(n) for n in rest.split()]
        if letter == "M":
            runs.append([(v[0], v[1])])
        elif letter == "L":
            runs[-1].append((v[0], v[1]))
        elif letter == "A":
            assert v[0] == v[1]
            runs[-1] += svg_arc(*runs[-1][-1], v[0], int(v[3]), int(v[4]), v[5], v[6])
        else:
            runs[-1].append(runs[-1][0])
    return runs


def lines_of(root: ET.Element, kinds: tuple[str, ...]) -> shapely.MultiLineString:
    runs = [r for p in root.iter(f"{SVG}path") if p.get("class") in kinds for r in path_lines(p.attrib["d"])]
    return shapely.MultiLineString(runs)


def dimension_lines(root: ET.Element) -> shapely.MultiLineString:
    group = next(g for g in root.iter(f"{SVG}g") if g.get("class") == "dimensions")
    runs = [r for p in group if p.get("stroke") != "none" and p.tag == f"{SVG}path" for r in path_lines(p.attrib["d"])]
    return shapely.MultiLineString(runs)


def assert_clear(svg: str) -> None:
    """No text on another, on the work, or struck by a dimension's line; all of it inside the sheet and large enough."""
    root = ET.fromstring(svg)
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    sheet = shapely.box(left, top, left + width, top + height)
    boxes = text_boxes(root)
    for (a, box_a), (b, box_b) in itertools.combinations(boxes, 2):
        assert shapely.intersection(box_a, box_b).area < 1e-6, (a, b)
    work, dimensions = lines_of(root, ("cut", "work", "kept")), dimension_lines(root)
    for text, box in boxes:
        assert shapely.contains(sheet, box), text
        inner = box.buffer(-0.01)
        assert not shapely.intersects(inner, work), f"{text!r} on the work"
        assert not shapely.intersects(inner, dimensions), f"{text!r} struck through"
    sizes = [float(t.get("font-size", root.attrib["font-size"])) for t in root.iter(f"{SVG}text")]
    assert min(sizes) >= width / 60
    assert height <= 1.42 * width  # fits an A4 page (297 / 210) at full width


@st.composite
def stairs(draw: st.DrawFn) -> Plan:
    units = draw(st.sampled_from(["in", "mm"]))
    risers = draw(st.integers(2, 20))
    rise, run = draw(st.floats(110, 200)), draw(st.floats(230, 360))
    thick = draw(st.sampled_from([25.4, 38.1, 40.0]))
    board, nosing = draw(st.sampled_from([0.0, 19.05, 25.0])), draw(st.sampled_from([0.0, 20.0, 25.4]))
    top = draw(st.sampled_from(["one-below", "at-floor"]))
    notch = draw(st.sampled_from([None, SillNotch(88.9, 38.1)]))
    edges = draw(st.sampled_from(["factory", "trimmed"]))
    overhang = 0.0 if top == "at-floor" else draw(st.sampled_from([board + nosing, 0.0]))
    header = draw(st.sampled_from([None, 400.0]))
    drop = risers * rise
    if draw(st.booleans()):
        far = risers * run + 1000.0
        count = draw(st.integers(2, 9))
        slope = draw(st.floats(-0.05, 0.25))
        foot = (risers - (0 if top == "at-floor" else 1)) * run + overhang - board - nosing
        down = [drop + 20.0 + slope * (far * k / (count - 1) - foot) for k in range(count)]
        profile = tuple((far * k / (count - 1), max(10.0, d)) for k, d in enumerate(down))
        site = {"profile": profile, "total_rise": None, "reveal_least": -1e4, "reveal_most": 1e4}
    else:
        site = {"profile": None, "total_rise": drop}
    width = draw(st.sampled_from([235.0, 285.75, 300.0]))
    made = job(
        units=units, risers=risers, unit_rise=rise, unit_run=run, tread_thickness=thick, riser_board=board,
        nosing=nosing, top_tread=top, sill_notch=notch, edges=edges, floor_overhang=overhang, header_depth=header,
        corner=draw(st.sampled_from(["relieved", "rounded"])), width=draw(st.sampled_from([0.3, 9.525, 12.7])),
        count=draw(st.integers(1, 4)), edge_trim=3.0,
        stock=(StockBoards("board", 38.1, width, width, 3000.0, None, None, ()),), **site,
    )  # fmt: skip
    return plan_of(made, per_board=draw(st.integers(1, 4)))


@pytest.mark.slow
@settings(max_examples=30, deadline=None)
@given(stairs())
def test_nothing_lies_over_anything(plan: Plan) -> None:
    for name, svg in drawings(plan).items():
        try:
            assert_clear(svg)
        except AssertionError as fault:
            raise AssertionError(f"{name}: {fault}") from fault


def test_the_check_sees_an_overlap() -> None:
    svg = stair_svg(plan_of(job()))
    first = re.search(r"<text [^>]*>[^<]*</text>", svg)
    assert first
    with pytest.raises(AssertionError):
        assert_clear(svg.replace(first[0], first[0] + first[0]))


def test_well_formed_and_self_contained() -> None:
    for svg in drawings(plan_of(job())).values():
        root = ET.fromstring(svg)
        assert root.attrib["role"] == "img"
        assert [child.tag for child in root][:3] == [f"{SVG}title", f"{SVG}desc", f"{SVG}rect"]
        assert root[2].attrib["fill"] == "#fff"
        assert (root[2].attrib["width"], root[2].attrib["height"]) == tuple(root.attrib["viewBox"].split()[2:])
        assert not [
            e for e in root.iter() if "id" in e.attrib or e.tag in (f"{SVG}script", f"{SVG}style", f"{SVG}image")
        ]
        assert svg.count("http") == 1  # the name space
        assert root.attrib["font-family"].endswith("sans-serif")


def test_same_plan_same_bytes() -> None:
    assert drawings(plan_of(job())) == drawings(plan_of(job()))


def test_names_are_data() -> None:
    name = '<script>alert("1")</script> & 🌲 Übergröße ]]>'
    for svg in drawings(plan_of(job(name=name))).values():
        root = ET.fromstring(svg)
        assert name in "".join(root[0].itertext())
        assert name in words(svg)


def test_dimensions_are_the_check_values() -> None:
    # Case A worked out apart from the program by plain trigonometry, inches: foot 73.5, least board length 88.4663,
    # heel 6.4212, seat 11.4721, notch 5.9660, throat on the diagonal relief 5.2809, pitch 34.6242 degrees.
    plan = plan_of(job())
    stair, stringer = words(stair_svg(plan)), words(stringer_svg(plan))
    for text in ("total rise 4'-10\"", "total run, foot out 6'-1 1/2\"", 'rise 7 1/4"', 'run 10 1/2"', "pitch 34.6°"):
        assert text in stair
    assert {'tread 1 1/2"', 'nosing 1"', "−4'-10\""} <= set(stair)
    assert {"overall 7'-4 7/16\"", 'heel 6 7/16"', 'seat bearing 11 1/2"', 'notch 5 15/16"', 'width 11 1/4"'} <= set(
        stringer
    )
    assert stringer.count('5 1/4"') == 6
    # One step along the slope is 12.7598 in, so tips and corners each lie that far apart.
    tips = sorted(plan.design.stringer.to_board(v.point)[0] for v in plan.design.stringer.vertices if v.role == "tip")
    assert [b - a for a, b in itertools.pairwise(tips)] == pytest.approx([12.7598 * IN] * 6, abs=0.0001 * IN)
    for x in tips:
        assert size_text(x, "in") in stringer


def test_reveal_and_pad() -> None:
    profile = ((0.0, 50 * IN), (40 * IN, 54.5 * IN), (80 * IN, 60 * IN), (140 * IN, 66 * IN))
    made = job(profile=profile, total_rise=None, reveal_least=0.0, reveal_most=5 * IN, unit_rise=7.25 * IN)
    found = words(stair_svg(plan_of(made)))
    # By hand: 73.5 out the ground is 54.5 + 5.5 * 33.5 / 40 = 59.10625 down, 1.10625 under a pad 58 down.
    assert 'reveal 1 1/8"' in found
    assert "pad 3'-0\"" in found
    assert "3: 6'-8\" out, 5'-0\" down" in found
    deeper = replace(made, pad=Pad(depth=40 * IN))
    assert "pad 3'-4\"" in words(stair_svg(plan_of(deeper)))
    # The far edge, 113.5 out: 60 + 6 * 33.5 / 60 = 63.35 down, 5.35 under the pad's top.
    assert "At the pad's far edge its top stands 5 3/8\" above the ground." in words(stair_svg(plan_of(deeper)))
    rules = RuleSet("r", "r", (Limit("landing-depth", "length", 48 * IN, None, None, "s", "memory"),))
    assert "pad 4'-0\"" in words(stair_svg(plan_of(made, rules)))


def test_the_ground_behind_the_pad_is_drawn_from_face_to_face() -> None:
    def dashed(*profile: tuple[float, float]) -> tuple[list[str], list[float]]:
        ground = tuple((out * IN, down * IN) for out, down in profile)
        made = job(profile=ground, total_rise=None, reveal_least=0.0, reveal_most=40 * IN, unit_rise=7.25 * IN)
        plan = plan_of(made)
        svg = stair_svg(plan)
        paths = [e for e in ET.fromstring(svg).iter(f"{SVG}path") if e.get("stroke-dasharray") == "8 4"]
        ends = [list(map(float, re.findall(r"[\d.]+", e.attrib["d"]))) for e in paths]
        return words(svg), [math.dist(e[:2], e[-2:]) / scene_of(plan).view.scale / IN for e in ends]

    key = "ground as measured, behind the pad"
    # The pad's top lies 58 down, its underside 62, and it reaches from 60 to 109.5 out at least. By hand: the ground
    # falls 7 in 75, is 58 down 64.2857 out and 62 down 107.1429 out. The stringer hides a little more of it above the
    # pad; the last dashed line is the key's.
    said, long = dashed((0, 52), (75, 59), (150, 66))
    assert f"{key} and the stringer" in said
    assert len(long) == 3
    assert long[0] == pytest.approx(math.hypot(42.8571, 4.0), rel=1e-4)
    # Ground below the underside all along is not behind the pad, and the key doesn't speak of it.
    said, long = dashed((0, 63), (75, 64), (150, 66))
    assert not any(words.startswith(key) for words in said)
    assert long == []


def test_the_stringer_has_rise_by_run_and_the_lowest_cut_also_beside_a_sill_notch() -> None:
    said = words(stringer_svg(planned(job_with("orchard-steps"))))
    assert 'each step rise 7 1/4" by run 10 1/2"' in said
    # 7 1/4 less a tread of 1 1/2; the sill plate of 1 1/2 under it leaves 4 1/4 of wood.
    assert 'Lowest riser cut, from the pad up past the sill plate: 5 3/4".' in said
    assert 'sill depth 4 1/4"' in said
    told = " ".join(words(stringer_svg(planned(job_with("closed-string")))))
    assert "Each step rise 177.5 by run 280." in told


def test_the_elevation_has_floor_to_seat_pad_and_where_stringers_stand() -> None:
    said = " ".join(words(stair_svg(planned(job_with("orchard-steps")))))
    # One rise and a tread below the floor: 7 1/4 and 1 1/2.
    assert 'floor to seat 8 3/4"' in said and 'pad 4" thick' in said
    assert "Across the header, from the stair's side to stringers' middles: 3/4\", 1'-6\", 2'-11 1/4\"." in said
    said = " ".join(words(stair_svg(planned(job_with("boat-landing")))))
    assert 'floor to seat 1 1/2"' in said and "thick" not in said, "no pad: the landing exists"


@pytest.mark.parametrize("name", ["orchard-steps", "garden-room", "panel-steps"])
def test_the_tread_in_the_corner_is_as_thick_as_a_tread(name: str) -> None:
    plan = planned(job_with(name))
    svg = corner_svg(plan)
    assert svg
    found = []
    for path in ET.fromstring(svg).iter(f"{SVG}path"):
        for line in path_lines(path.attrib["d"]):
            xs, ys = zip(*line, strict=True)
            found.append((max(xs) - min(xs), max(ys) - min(ys)))
    radius = plan.job.cutter.radius
    ring = max(float(c.attrib["r"]) for c in ET.fromstring(svg).iter(f"{SVG}circle"))
    thick = plan.stair.tread_thickness / radius * ring
    # Its top shows within the square of 400, and it is drawn to the frame in front.
    assert thick < 195
    assert any(high == pytest.approx(thick, abs=0.1) and 20 < wide < 200 for wide, high in found)


def test_the_least_throat_is_told_with_its_notch_and_what_it_runs_to() -> None:
    """It stood beside the plain throat and what the relief takes, which it need not be the difference of."""

    def least(**stringer: object) -> str:
        svg = corner_svg(planned(job_with("orchard-steps", stringer=stringer)))
        assert svg
        said = " ".join(words(svg))
        return said[said.index("least throat measured") :]

    assert re.match(r"least throat measured: 5\.2184 [^,]", least()), "all alike, down to the lower edge"
    notch = least(sill_notch={"deep": 7, "high": 3})
    assert re.match(r"least throat measured: [\d.]+, behind tread 5, to the cuts at the foot ", notch)
    bored = least(form="plate", plate={"profile": "saw-tooth", "bracket": {"at": [3, 2], "spacing": 5}})
    assert re.match(r"least throat measured: [\d.]+, to a hole ", bored)


def test_a_tread_thicker_than_the_square_goes_on_past_it() -> None:
    plan = planned(job_with("boat-landing"))
    svg = corner_svg(plan)
    assert svg and plan.stair.tread_thickness > 60 * plan.job.cutter.radius
    thin = [p.attrib["d"] for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("stroke-width") == "1.3"]
    lines = [line for data in thin for line in path_lines(data)]
    sides = {tuple(sorted(map(tuple, line))) for line in lines if math.dist(line[0], line[-1]) == pytest.approx(200)}
    # Of a square of 200 its seat and its back are lines, its top and its front are not.
    assert len(sides) == 2
    assert {a[0] == b[0] for a, b in sides} == {True, False}


@pytest.mark.parametrize(("name", "drawn"), [("orchard-steps", 1), ("closed-string", 1), ("panel-steps", 0)])
def test_the_stringer_shows_its_edge_on_the_fence_where_it_has_one(name: str, drawn: int) -> None:
    plan = planned(job_with(name))
    svg = stringer_svg(plan)
    assert ("edge on the fence" in words(svg)) == bool(drawn)
    # The widest lines: the fence itself, longer than its sample in the key.
    wide = [p.attrib["d"] for p in ET.fromstring(svg).iter(f"{SVG}path") if p.get("stroke-width", "").startswith("3.9")]
    lines = [line for data in wide for line in path_lines(data) if math.dist(line[0], line[-1]) > 100]
    assert len(lines) == drawn
    for (_, y0), (_, y1) in lines:
        top = stringer_view(plan)((0.0, plan.design.stringer.width))[1]
        assert y0 == y1 and 0 < top - y0 < 6, "just above the notched or upper edge"


def test_a_failing_check_is_said_on_every_drawing() -> None:
    plan = plan_of(job(throat_least=6 * IN))
    for svg in drawings(plan).values():
        assert any(w.startswith("Required checks fail: throat") for w in words(svg))
    assert not any("fail" in w for w in words(stair_svg(plan_of(job()))))


@settings(max_examples=40, deadline=None)
@given(stairs())
def test_throat_lines_are_as_long_as_the_throats(plan: Plan) -> None:
    part = plan.design.part
    reliefs = {c.tread: c.relief for c in part.corners}
    for notch in part.notches:
        start, end = nearest_behind(part, notch.corner, reliefs[notch.tread])
        assert math.dist(start, end) == pytest.approx(notch.throat, abs=0.02)


@pytest.mark.parametrize("kind", ["diagonal", "riser-side", "tread-side"])
def test_loss_of_throat(kind: str) -> None:
    plan = plan_of(job())
    pitch, radius = plan.stair.pitch, plan.job.cutter.radius
    part = relieved(plan.design.stringer, kind, radius)  # type: ignore[arg-type]
    corner = part.corners[0]
    assert corner.relief
    x, y = corner.corner
    moved = replace(corner.relief, centre=(corner.relief.centre[0] - x, corner.relief.centre[1] - y))
    # A circle of R through the corner, its centre 45 degrees, 90 or 0 from the tread: how far it reaches past it.
    lean = {"diagonal": math.pi / 4 - pitch, "riser-side": pitch, "tread-side": math.pi / 2 - pitch}[kind]
    assert reach_past(moved, (0.0, -1.0)) == pytest.approx(radius * (1 - math.cos(lean)), abs=1e-9)


@pytest.mark.parametrize("edges", ["factory", "trimmed"])
@pytest.mark.parametrize("path", ["design", "centre"])
def test_board_lines_are_the_cut_files_lines(edges: str, path: str) -> None:
    stock = (StockBoards("2x12", 1.5 * IN, 11.25 * IN, 11.5 * IN, 200 * IN, None, None, ((190 * IN, 193 * IN),)),)
    made = job(edges=edges, path=path, edge_trim=0.125 * IN, stock=stock, count=2)
    plan = plan_of(made, per_board=2)
    board = plan.layout.boards[0]
    root = ET.fromstring(board_svg(plan, 0, board_work(plan)))
    frame = shapely.MultiLineString(
        [r for p in root.iter(f"{SVG}path") if p.get("class") == "kept" for r in path_lines(p.attrib["d"])]
    ).bounds
    scale = (frame[2] - frame[0]) / board.stock.length
    assert (frame[3] - frame[1]) / scale == pytest.approx(11.5 * IN, abs=0.01)
    drawn = [p.attrib["d"] for p in root.iter(f"{SVG}path") if p.get("class") == "cut"]
    assert len(drawn) == 2
    for data, placed in zip(drawn, board.parts, strict=True):
        line = shapely.LineString(path_lines(data)[0])
        back = shapely.transform(line, lambda p: (p - (frame[0], frame[3])) * (1 / scale, -1 / scale))
        meant = cut_path(plan.design.part, made.cutter, 11.5 * IN - plan.design.part.width)
        assert shapely.hausdorff_distance(back, meant.moved(placed.motion).line()) < 0.05
    assert any(w.startswith("Defect from 15'-10\"") for w in words(board_svg(plan, 0, board_work(plan))))


def test_holes_slots_and_pockets_are_drawn() -> None:
    plan = plan_of(job(count=1))
    square = straight(((300.0, 20.0), (340.0, 20.0), (340.0, 60.0), (300.0, 60.0)), closed=True)
    part = replace(
        plan.design.part,
        holes=(Hole((200.0, 40.0), 12.0, "bolt"),),
        slots=(square,),
        pockets=(Pocket(square.moved(shift(200.0, 0.0)), 6.0, "plate"),),
    )
    own = replace(plan.design.parts[0], part=part)
    more = replace(plan, design=replace(plan.design, parts=(own,)))
    # On a board what is dashed is also told in the key.
    for draw, told in ((stringer_svg, 0), (lambda p: board_svg(p, 0, board_work(p)), 1)):
        before, after = ET.fromstring(draw(plan)), ET.fromstring(draw(more))
        lines = [len([p for p in root.iter(f"{SVG}path") if p.get("class") == "cut"]) for root in (before, after)]
        assert lines[1] == lines[0] + 1
        rings = [{c.get("r") for c in root.iter(f"{SVG}circle")} for root in (before, after)]
        assert len(rings[1] - rings[0]) == 1
        dashed = [
            len([p for p in root.iter(f"{SVG}path") if p.get("stroke-dasharray") == "8 4"]) for root in (before, after)
        ]
        assert dashed[1] == dashed[0] + 1 + told


def test_kept_edge_is_no_cut_line() -> None:
    for edges, kept in (("factory", 1), ("trimmed", 0)):
        svg = stringer_svg(plan_of(job(edges=edges)))
        assert svg.count('class="kept"') == kept
        assert any("own edge" in w for w in words(svg)) == bool(kept)


@pytest.mark.slow
@settings(max_examples=100, deadline=None)
@given(st.lists(st.floats(0, 900), min_size=1, max_size=40), st.floats(1, 21))
def test_spread_keeps_order_room_and_ends(wished: list[float], room: float) -> None:
    wished = sorted(wished)
    places = spread(wished, [room] * len(wished), 0.0, 900.0)
    assert all(b - a >= room - 1e-6 for a, b in itertools.pairwise(places))
    if len(wished) * room <= 900:
        assert places[0] >= room / 2 - 1e-6
        assert places[-1] <= 900 - room / 2 + 1e-6
    if (
        all(b - a >= room for a, b in itertools.pairwise(wished))
        and room / 2 <= wished[0] <= wished[-1] <= 900 - room / 2
    ):
        assert places == pytest.approx(wished)


coordinate = st.integers(-20, 20).map(float)


@pytest.mark.slow
@settings(max_examples=150, deadline=None)
@given(
    st.tuples(coordinate, coordinate, coordinate, coordinate),
    coordinate,
    coordinate,
    st.integers(1, 9),
    st.integers(1, 9),
)
def test_crossing_a_box_as_shapely_has_it(
    segment: tuple[float, float, float, float], x: float, y: float, wide: int, high: int
) -> None:
    line = shapely.LineString([segment[:2], segment[2:]])
    inside = shapely.box(x, y, x + wide, y + high).buffer(-1e-3)
    if math.dist(segment[:2], segment[2:]) > SAME_POINT:
        assert crosses(segment, (x, y, x + wide, y + high)) == shapely.intersects(line, inside)


def test_parts_are_counted_as_people_do() -> None:
    assert numbered_parts((0,)) == "part 1"
    assert numbered_parts((0, 1)) == "parts 1 and 2"
    assert numbered_parts((1, 2, 4)) == "parts 2, 3 and 5"


def test_long_names_are_cut_to_their_room() -> None:
    lines = wrapped("Unbelievably" * 30 + " long name", 300.0, 18.0, 2)
    assert len(lines) == 2
    assert all(span(line, 18.0) <= 300 for line in lines)
    assert lines[-1].endswith("…")
    assert cut_to("short", 300.0, 18.0) == "short"


def test_metric_sizes() -> None:
    assert [size_text(v, "mm") for v in (184.15, 190.0, 0.04, -12.34)] == ["184.2", "190", "0", "-12.3"]
    assert size_text(73.5 * IN, "in") == "6'-1 1/2\""


@pytest.mark.parametrize("path", sorted(Path(__file__).parent.parent.glob("fixtures/*.toml")), ids=lambda p: p.stem)
def test_the_fixtures_drawings_are_clear(path: Path) -> None:
    from cutpath.job.read import read_job
    from cutpath.plan.stages import plan
    from cutpath.rules.load import load_rules

    read = read_job(path).job
    for svg in drawings(plan(read, load_rules(read.stair.rules), show)).values():
        assert_clear(svg)


@pytest.mark.parametrize("form", ["notched", "saw-tooth", "straight"])
def test_every_hole_is_listed_by_its_centre_whatever_the_form(form: str) -> None:
    """With teeth none was, straight ones had a list."""
    bolt = {"what": "bolt", "diameter": "1/2", "near": "edge", "at": [30, 2]}
    stringer: dict[str, object] = {"sill_notch": None}
    if form != "notched":
        bracket = {"diameter": "7/16", "at": [3, 2], "spacing": 5}
        stringer |= {"form": "plate", "plate": {"profile": form, "bracket": bracket}}
    plan = planned(job_with("orchard-steps", holes=[bolt], stringer=stringer))
    said = words(stringer_svg(plan))
    assert "Holes by their centres, along from the leftmost point and across from the lower edge:" in said
    at = said.index('bolt, diameter 1/2":')
    assert said[at + 1] == '2\'-6", 2"'
    brackets = [h for h in plan.design.part.holes if h.what == "tread bracket"]
    assert len(brackets) == (0 if form == "notched" else 2 * plan.stair.treads)
    listed = {f"{size_text(x, 'in')}, {size_text(y, 'in')}" for x, y in (h.centre for h in brackets)}
    assert listed <= set(said) and ('tread bracket, diameter 7/16":' in said) == bool(brackets)
    assert "Holes by their centres" not in " ".join(words(stringer_svg(planned(job_with("orchard-steps")))))
