"""Housed stringers: outline, housings, the pair, by plain trigonometry and against shapes drawn another way."""

import json
import math
from pathlib import Path

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.cut.housing import end_cuts, housed_part, mirrored
from cutpath.cut.relief import CutPart, behind
from cutpath.design.built import surfaces
from cutpath.design.housed import housings, runs_out, treads_placed
from cutpath.design.stair import Stair
from cutpath.design.straight import build_straight
from cutpath.design.stringer import Stringer
from cutpath.design.throat import InsideCorner, throats
from cutpath.faults import Fault, ImpossibleStringer
from cutpath.job.form_values import Housing
from cutpath.job.values import Cutter, StringerSpec
from cutpath.outline import Chain
from cutpath.rules.values import Check
from tests.form_jobs import BASE, STOCK, designed, drawn, job
from tests.stairs import mm

HOUSED = '[stringer]\nform = "housed"\nmargin = 40\n'
R, T, C, S, W, MARGIN = 175.0, 280.0, 35.0, 20.0, 320.0, 40.0
L = math.hypot(R, T)
COS, SIN = T / L, R / L
# A quarter over the radius of a tool 9 wide.
RUN = 5.625


def role(stringer: Stringer, name: str) -> tuple[float, float]:
    return next(v.point for v in stringer.vertices if v.role == name)


@pytest.mark.parametrize("riser", [0.0, 18.0])
def test_the_outline_by_plain_trigonometry(riser: float) -> None:
    stair, design = drawn(HOUSED, riser)
    stringer = design.stringer
    assert [v.role for v in stringer.vertices] == ["heel", "seat-back", "toe", "front", "level", "top"]
    # The floor's edge is detailed like the treads, so the line of the nosings passes through (nosing + riser, 0).
    edge = S + riser

    def lower(x: float) -> float:
        return -(x - edge) * R / T + (MARGIN - W) / COS

    toe = 7 * T + edge + MARGIN
    assert role(stringer, "toe") == pytest.approx((toe, -1400))
    assert role(stringer, "front") == pytest.approx((toe, lower(toe) + W / COS))
    assert role(stringer, "top") == pytest.approx((0, -C))
    assert role(stringer, "heel") == pytest.approx((0, lower(0)))
    assert stringer.heel == pytest.approx(-C - lower(0))
    back = edge + (1400 + (MARGIN - W) / COS) * T / R
    assert stringer.seat_bearing == pytest.approx(toe - back)
    # From the level cut's outer end, or the heel's upper end, to the toe, as the slope sees them.
    spread_along = [COS * x - SIN * y for x, y in (v.point for v in stringer.vertices)]
    assert stringer.length == pytest.approx(max(spread_along) - min(spread_along))
    assert stringer.length == pytest.approx(COS * toe + SIN * 1400 - SIN * C)
    # Every nosing lies the margin under the upper edge, which is the board's.
    for x, y in stringer.treads:
        assert stringer.to_board((x + edge, y + C))[1] == pytest.approx(W - MARGIN)
    assert stair.riser_cut(7) == pytest.approx(7 * T) and stair.foot_out == pytest.approx(toe)


@pytest.mark.parametrize("riser", [0.0, 18.0])
def test_throat_behind_a_housing_by_plain_trigonometry(riser: float) -> None:
    plain = W - MARGIN - ((T + riser + S) * R + C * T) / L
    _, square = drawn(HOUSED + '[cutter]\nwidth = 9\ncorner = "rounded"\n', riser)
    assert [n.tread for n in square.part.notches] == [2, 3, 4, 5, 6, 7]
    assert all(n.throat == pytest.approx(plain) for n in square.part.notches)
    _, opened = drawn(HOUSED + "[cutter]\nwidth = 9\n", riser)
    # The relief's centre lies a radius along the bisector, as behind a notch relieved on the diagonal.
    less = 4.5 * (1 - math.cos(math.radians(45) - math.atan2(R, T)))
    assert opened.part.throat == pytest.approx(plain - less)


def meant(riser: float, play: float) -> shapely.Polygon:
    """The housings as plain rectangles put together, run out 5.625 past plumb cut, level cut and seat; stair frame."""
    boxes = []
    for k in range(1, 8):
        back = (k - 1) * T if k > 1 else -RUN
        boxes.append(shapely.box(back, -k * R - C, k * T + riser + S, -k * R + play))
        if riser:
            # Each riser board from its tread's underside down to the next seat, the lowest one to the landing.
            low = -(k + 1) * R - C if k < 7 else -1400 - RUN
            boxes.append(shapely.box(k * T - play, low, k * T + riser, -k * R - C))
            back = (k - 1) * T - play
            boxes.append(shapely.box(back, -k * R - C, back + 1, -k * R + play))
    if riser:
        boxes.append(shapely.box(-RUN, -R, riser, -C + RUN))
    return shapely.union_all(boxes)


@pytest.mark.parametrize(("riser", "play"), [(0.0, 0.0), (0.0, 1.5), (18.0, 0.0), (18.0, 1.5)])
def test_housings_are_the_boards_that_lie_in_them(riser: float, play: float) -> None:
    text = HOUSED + f'[stringer.housing]\nplay = {play}\n[cutter]\nwidth = 9\ncorner = "rounded"\n'
    _, design = drawn(text, riser)
    back = design.stringer.to_board.inverse()
    pockets = [p.outline.moved(back) for p in design.part.pockets]
    assert len(pockets) == (1 if riser else 7)
    assert all(p.area() > 0 for p in pockets), "counter-clockwise"
    got = shapely.union_all([p.polygon() for p in pockets])
    assert got.symmetric_difference(meant(riser, play)).area == pytest.approx(0, abs=1e-6)


def test_boards_lie_in_the_housings_as_a_round_tool_leaves_them() -> None:
    _, design = drawn(HOUSED + "[cutter]\nwidth = 9\n", 18.0)
    (pocket,) = design.part.pockets
    outline = pocket.outline.moved(design.stringer.to_board.inverse()).polygon()
    # Where a tool 9 wide gets to inside the contour: the opened corners let a square board reach the very corner.
    reached = outline.buffer(-4.5, quad_segs=64).buffer(4.5 + 2e-3, quad_segs=64)
    boards = meant(18.0, 0.0)
    inside = boards.intersection(shapely.box(0, -1400, 3000, -C))
    assert inside.difference(reached).area < 0.2
    _, square = drawn(HOUSED + '[cutter]\nwidth = 9\ncorner = "rounded"\n', 18.0)
    plain = square.part.pockets[0].outline.moved(square.stringer.to_board.inverse()).polygon()
    left = inside.difference(plain.buffer(-4.5, quad_segs=64).buffer(4.5, quad_segs=64))
    # One fillet a corner, (1 - pi/4) R^2 each: six backs, seven nosings with two; the first tread's back runs out.
    assert left.area == pytest.approx(20 * (1 - math.pi / 4) * 4.5**2, rel=0.02)


def test_rises_and_goings_are_read_off_the_housings() -> None:
    stair, design = drawn(HOUSED, 18.0)
    built = surfaces(stair, design.stringer)
    rises, goings = built.rises, built.goings
    assert rises == pytest.approx([175.0] * 8)
    assert goings == pytest.approx([280.0] * 7)
    wrong = replace(
        design.stringer, treads=tuple((x, y - 5 * (i == 2)) for i, (x, y) in enumerate(design.stringer.treads))
    )
    rises = surfaces(stair, wrong).rises
    assert max(rises) - min(rises) == pytest.approx(10.0)


def test_the_pair_is_right_and_left_and_mirrored() -> None:
    _, design = drawn(HOUSED + "sill_notch = {deep = 60, high = 30}\n", 18.0)
    right, left = design.parts
    assert [s.name for s in design.parts] == ["Byre right", "Byre left"]
    assert [s.count for s in design.parts] == [1, 1]
    assert (right.part.mirrored, left.part.mirrored) == (False, True)
    top = next(p for p, role in zip(left.part.outline.points, left.part.roles, strict=True) if role == "top")
    assert top[0] > left.part.outline.extents()[2] / 2, "the upper end at the right"
    assert left.part.roles[:2] == ("seat-back", "heel"), "the lower edge first, as on every part"
    assert left.part.throat == right.part.throat


def spec_of(housing: Housing, margin: float, gap: float) -> StringerSpec:
    return StringerSpec(2, 25.0, "factory", 0.0, None, 75.0, gap, "housed", margin, None, housing)


Made = tuple[Stair, Stringer, CutPart, float]


@st.composite
def housed(draw: st.DrawFn) -> Made:
    def between(low: float, high: float) -> st.SearchStrategy[float]:
        return st.floats(low, high, allow_nan=False, width=32)

    stair = Stair(
        draw(st.integers(2, 16)),
        draw(between(110, 200)),
        draw(between(210, 330)),
        draw(st.sampled_from(["one-below", "at-floor"])),
        draw(between(18, 60)),
        draw(st.sampled_from([0.0, 12.0, 19.05])),
        draw(st.sampled_from([0.0, 15.0, 28.5])),
        draw(between(0, 70)),
    )
    play = draw(st.sampled_from([0.0, 1.0]))
    spec = spec_of(Housing(12.0, play), draw(between(10, 80)), draw(st.sampled_from([0, 4.0])))
    radius = draw(st.sampled_from([0.1, 3.175, 4.5]))
    stringer = build_straight(stair, spec, draw(between(280, 500)), mm)
    found = housings(stair, spec, 1.25 * radius, mm)
    part = housed_part(stringer, found, 12.0, draw(st.sampled_from(["relieved", "rounded"])), radius)
    back = stringer.to_board.inverse()
    runs_out(stringer, spec, shapely.union_all([p.outline.moved(back).polygon() for p in part.pockets]), mm)
    stringer = replace(stringer, treads=treads_placed(stair, play, found))
    return stair, stringer, part, radius


def possible(draw: st.DrawFn) -> Made | None:
    try:
        return draw(housed())
    except ImpossibleStringer as fault:
        assert "\n" not in str(fault)
        return None


@settings(max_examples=60, deadline=None)
@given(st.composite(possible)())
def test_housings_stay_in_the_part_but_where_they_run_out(found: Made | None) -> None:
    if found is None:
        return
    stair, stringer, part, radius = found
    outline = part.outline.polygon()
    assert outline.is_valid
    for pocket in part.pockets:
        drawing = pocket.outline.polygon()
        assert drawing.is_valid
        assert drawing.difference(outline.buffer(1.25 * radius + 1e-3, join_style="mitre")).area < 1e-6
    assert len(stringer.treads) == stair.treads
    built = surfaces(stair, stringer)
    rises, goings = built.rises, built.goings
    assert max(rises) - min(rises) < 1e-6 and max(goings) - min(goings) < 1e-6


@pytest.mark.slow
@settings(max_examples=60, deadline=None)
@given(st.composite(possible)())
def test_the_left_one_is_the_mirror_image(found: Made | None) -> None:
    if found is None:
        return
    _, _, right, _ = found
    left = mirrored(right)
    width = right.outline.extents()[2]

    def flipped(chain: Chain) -> shapely.Polygon:
        return shapely.Polygon([(width - x, y) for x, y in chain.flattened()])

    assert left.outline.area() == pytest.approx(right.outline.area()), "counter-clockwise too"
    assert left.outline.polygon().symmetric_difference(flipped(right.outline)).area < 1e-4
    for a, b in zip(left.pockets, right.pockets, strict=True):
        assert a.outline.area() == pytest.approx(b.outline.area())
        assert a.outline.polygon().symmetric_difference(flipped(b.outline)).area < 1e-4 * len(b.outline.points)
    assert mirrored(left).outline.polygon().symmetric_difference(right.outline.polygon()).area < 1e-4
    # Measured anew on the left one, throats with square corners are those of the right one.
    corners = [InsideCorner(n.tread, n.corner, None) for n in left.notches]
    same = [InsideCorner(n.tread, n.corner, None) for n in right.notches]
    got = throats(corners, (behind(left.outline, left.roles),))
    assert [n.throat for n in got] == pytest.approx(
        [n.throat for n in throats(same, (behind(right.outline, right.roles),))]
    )


@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("path", ["design", "centre"])
def test_end_cuts_run_past_both_edges_and_nothing_else(path: str, direction: str) -> None:
    _, design = drawn(HOUSED, 18.0)
    cutter = Cutter("router", 9.0, "relieved", path, 12.0, direction=direction)  # type: ignore[arg-type]
    for part in (design.parts[0].part, design.parts[1].part):
        cuts = end_cuts(part, cutter, 7.0)
        assert len(cuts) == 2
        for cut in cuts:
            ends = sorted(p[1] for p in (cut.points[0], cut.points[-1]))
            assert ends[0] < -7.0 and ends[1] > W
            if path == "design":
                # 12 past the board's edges, measured along the cut.
                for end, inner, edge in ((0, 1, None), (-1, -2, None)):
                    (x0, y0), (x1, y1) = cut.points[end], cut.points[inner]
                    edge = W if y0 > W / 2 else -7.0
                    assert abs((y0 - edge) / (y1 - y0)) * math.dist((x0, y0), (x1, y1)) == pytest.approx(12.0)
        # Together with the board's edges they leave the part.
        wood = shapely.box(-100, -7, part.outline.extents()[2] + 100, W)
        swept = shapely.union_all([c.line() for c in cuts])
        if path == "centre":
            rest = wood.difference(swept.buffer(4.5, quad_segs=256))
            piece = max(shapely.get_parts(rest), key=lambda p: p.area)
            ideal = part.outline.polygon()
            assert ideal.difference(piece).area < 0.5
            strip = shapely.box(-100, -7, part.outline.extents()[2] + 100, 0)
            assert piece.difference(strip).symmetric_difference(ideal).area < 0.5


FAULTS = [
    (HOUSED + "[stringer.housing]\ndepth = 46\n", "stringer.housing.depth 46 mm goes through a board 45 mm thick"),
    ('[stringer]\nform = "housed"\nmargin = 320\n', "stringer.margin 320 mm is not less than the part's width 320 mm"),
    (HOUSED + "level_cut = 200\n", "stringer.level_cut takes the stringer off at 200 mm below the floor"),
    (HOUSED + "[cutter]\nwidth = 20\n", "cutter.width 20 mm is wider than the housing of a tread or riser board"),
    ('[stringer]\nform = "housed"\nmargin = 130\n', "past the board's lower edge"),
    ('[stringer]\nform = "housed"\nmargin = 0\n[cutter]\nwidth = 9\n', "past the board's upper edge"),
    # The nosings' own corners lie on the edge, and the lowest one's whole front.
    ('[stringer]\nform = "housed"\nmargin = 0\n[cutter]\ncorner = "rounded"\n', "leaves no wood at the board's upper"),
]


@pytest.mark.parametrize(("text", "said"), FAULTS)
def test_what_leaves_no_stringer_is_named_with_its_numbers(text: str, said: str) -> None:
    with pytest.raises(ImpossibleStringer) as caught:
        drawn(text, 18.0)
    assert said in str(caught.value)


def test_a_tool_too_wide_for_a_relief_is_named() -> None:
    # A relief's mouth is 21.2 wide on a nosing of 20.
    with pytest.raises(ImpossibleStringer, match=r"30 mm is too wide to relieve .* on its side of 20 mm"):
        drawn(HOUSED + "[cutter]\nwidth = 30\n", 40.0)
    assert drawn(HOUSED + '[cutter]\nwidth = 30\ncorner = "rounded"\n', 40.0)


INCH_FAULTS = {
    '[stringer]\nform = "housed"\n[cutter]\nwidth = 2\n': "cutter.width 2 in is wider than the housing",
    '[stringer]\nform = "housed"\n[cutter]\nwidth = 1.25\n': "on its side of 1.5 in (1 1/2); use",
    "[stringer]\nsill_notch = {deep = 3, high = 0.5}\n[cutter]\nwidth = 1\n": "sides are 0.5 in (1/2) and 3 in; use",
    # A slot of a quarter inch, which the tool can't go into; its check fails, so it is asked for all the same.
    '[stringer]\nform = "plate"\nplate.bracket = {diameter = 0.25, slot = 1}\n[cutter]\npath = "centre"\n': (
        "cutter.width 0.375 in (3/8) is too wide for the corner near x "
    ),
}


@pytest.mark.parametrize("text", INCH_FAULTS)
def test_a_tool_too_wide_is_told_in_the_jobs_unit(text: str, tmp_path: Path, capsys) -> None:
    file = tmp_path / "a.toml"
    file.write_text(f"[site]\ntotal_rise = 30\n{text}", encoding="utf-8")
    assert run(["export", str(file), "-o", str(tmp_path / "out"), "--despite-checks"]) == 2
    said = capsys.readouterr().err
    assert INCH_FAULTS[text] in said and " mm" not in said


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (
            HOUSED + "count = 3\n",
            'stringer.count: 3 with form = "housed": housed stringers come as one left and one right',
        ),
        ("[stringer.housing]\ndepth = 10\n", 'stringer.housing: means nothing with form = "notched"'),
        (HOUSED + "[stringer.plate]\n", 'stringer.plate: means nothing with form = "housed"'),
    ],
)
def test_faults_of_the_job(text: str, said: str) -> None:
    with pytest.raises(Fault) as caught:
        job(text)
    assert said in " ".join(caught.value.lines)


def test_wood_behind_a_housing_is_checked() -> None:
    def behind_housing(text: str) -> Check:
        return next(c for c in drawn(HOUSED + text, 18.0)[1].checks if c.id == "behind-housing")

    assert behind_housing("[stringer.housing]\ndepth = 22.5\n").ok
    assert not behind_housing("[stringer.housing]\ndepth = 23\n").ok
    assert not behind_housing("[stringer.housing]\ndepth = 12\nbehind_least = 34\n").ok


def test_the_throat_that_is_asked_for_is_held_against_the_housings() -> None:
    _, design = drawn(HOUSED + "throat_least = 90\n", 18.0)
    throat = next(c for c in design.checks if c.id == "throat")
    assert not throat.ok
    assert throat.value == design.part.throat


@pytest.mark.parametrize("top", ["one-below", "at-floor"])
def test_the_heel_below_the_floor_has_to_bear(top: str) -> None:
    def bearing(depth: float) -> Check:
        text = BASE.format(riser=0) + f'top_tread = "{top}"\nheader_depth = {depth}\n' + HOUSED
        return next(c for c in designed(text + STOCK).checks if c.id == "header-bearing")

    # Down to the lower edge at the header's face: the nosings' line passes S out at the floor, or a run and S.
    edge = S if top == "one-below" else T + S
    bottom = -(edge * R / T + (MARGIN - W) / COS)
    start = C if top == "one-below" else 0.0
    assert bearing(bottom).ok and bearing(bottom).value == pytest.approx(bottom - start)
    assert not bearing(bottom - 1).ok


@pytest.mark.parametrize("riser", [0, 18])
@pytest.mark.parametrize(
    "more",
    [
        "",
        'edges = "trimmed"\nedge_trim = 3\n',
        '[cutter]\nwidth = 6\npath = "centre"\ndirection = "conventional"\n',
        "sill_notch = {deep = 45, high = 30}\ntop_gap = 3\n",
    ],
)
def test_the_files_are_written_and_cut_right_in_simulation(tmp_path: Path, riser: int, more: str) -> None:
    path = tmp_path / "a.toml"
    path.write_text(BASE.format(riser=riser) + HOUSED + more + STOCK, encoding="utf-8")
    assert run(["export", str(path), "-o", str(tmp_path / "out")]) == 0
    result = json.loads((tmp_path / "out" / "result.json").read_text())
    stringer = result["stringer"]
    assert stringer["form"] == "housed"
    assert [(p["name"], p["mirrored"]) for p in stringer["parts"]] == [("Byre right", False), ("Byre left", True)]
    assert len(stringer["pockets"]) == (1 if riser else 7)
    assert stringer["tread_length"] == 915 + 2 * 12
    assert {f["path"] for f in result["files"]} >= {"parts/byre-right.dxf", "parts/byre-left.dxf"}
