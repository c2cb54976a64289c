"""Drilled holes: where each feature puts them, the wood round them, the throat behind them."""

import json
import math
from pathlib import Path

import pytest
import shapely
from hypothesis import example, given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.design.holes import Opening, opening_checks
from cutpath.faults import Fault, ImpossibleStringer
from cutpath.outline import straight
from tests.form_jobs import BASE, STOCK, drawn, job
from tests.stairs import mm

R, T, C, S, W = 175.0, 280.0, 35.0, 20.0, 320.0
HOUSED = '[stringer]\nform = "housed"\nmargin = 40\n'


def hole(near: str, at: str, more: str = "", diameter: float = 12, what: str = "bolt") -> str:
    return f'[[holes]]\nwhat = "{what}"\ndiameter = {diameter}\nnear = "{near}"\nat = {at}\n{more}\n'


def centres(text: str) -> list[tuple[float, float]]:
    """Of the holes, stair frame."""
    _, design = drawn(text)
    back = design.stringer.to_board.inverse()
    return [back(h.centre) for h in design.part.holes]


@pytest.mark.parametrize(
    ("form", "text", "place"),
    [
        # Without riser boards the plumb cut is at 0, the tooth's tip of tread k at k T, its nosing S beyond.
        ("", hole("header", "[50, 90]"), (50, -R - C - 90)),
        ("", hole("foot", "[70, 45]"), (7 * T - 70, -1400 + 45)),
        ("", hole("tread", "[80, 60]", "tread = 3"), (3 * T - 80, -3 * R - C - 60)),
        (HOUSED, hole("tread", "[80, 60]", "tread = 3"), (3 * T + S - 80, -3 * R - C - 60)),
        (HOUSED, hole("header", "[50, 60]"), (50, -R - C - 60)),
        (HOUSED, hole("foot", "[25, 45]"), (7 * T + S + 40 - 25, -1400 + 45)),
        ("[stringer]\ntop_gap = 4\n", hole("header", "[50, 90]"), (54, -R - C - 90)),
        (
            "[stringer]\nsill_notch = {deep = 60, high = 30}\n",
            hole("foot", "[90, 60]"),
            (7 * T - 90, -1400 + 60),
        ),
    ],
)
def test_a_hole_lies_where_its_feature_puts_it(form: str, text: str, place: tuple[float, float]) -> None:
    assert centres(form + text) == [pytest.approx(place)]


def test_a_hole_by_the_edge_lies_in_the_board_frame() -> None:
    _, design = drawn(hole("edge", "[900, 60]"))
    assert [h.centre for h in design.part.holes] == [(900.0, 60.0)]
    _, pair = drawn(HOUSED + hole("edge", "[900, 30]", "edge_least = 10"))
    length = pair.stringer.length
    assert [s.part.holes[0].centre for s in pair.parts] == [(900.0, 30.0), pytest.approx((length - 900.0, 30.0))]


def test_treads_are_counted_from_the_top() -> None:
    assert len(centres(hole("tread", "[80, 60]"))) == 7
    assert len(centres(hole("tread", "[80, 60]", 'tread = "all"'))) == 7
    assert [y for _, y in centres(hole("tread", "[80, 60]", "tread = [7, 2]"))] == pytest.approx(
        [-2 * R - C - 60, -7 * R - C - 60]
    )
    with pytest.raises(ImpossibleStringer, match=r"holes\[0\]\.tread: there is no tread 8: this stair has 7"):
        drawn(hole("tread", "[80, 60]", "tread = 8"))


def checked(text: str, name: str) -> tuple[object, object, object]:
    found = next(c for c in drawn(text)[1].checks if c.id == name)
    assert found.required == (name != "hole-size")
    assert found.value is not None and found.least is not None
    return found.ok, found.value, found.least


def test_the_rim_keeps_two_diameters_from_every_edge_unless_asked() -> None:
    # 50 out from the plumb cut to the centre; "two diameters" is common practice, no source.
    assert checked(hole("header", "[50, 90]"), "hole-edge") == (True, pytest.approx(44), 24)
    assert checked(hole("header", "[29, 90]"), "hole-edge") == (False, pytest.approx(23), 24)
    assert checked(hole("header", "[29, 90]", "edge_least = 22"), "hole-edge") == (True, pytest.approx(23), 22)
    # Over the lower edge, across the board.
    assert checked(hole("edge", "[900, 25]"), "hole-edge") == (False, pytest.approx(19), 24)


def test_holes_keep_apart() -> None:
    both = hole("edge", "[900, 60]") + hole("edge", "[930, 60]", diameter=16, what="other")
    assert checked(both, "hole-apart") == (True, pytest.approx(16), 16)
    near = hole("edge", "[900, 60]") + hole("edge", "[928, 60]", diameter=16, what="other")
    assert checked(near, "hole-apart") == (False, pytest.approx(14), 16)
    with pytest.raises(
        ImpossibleStringer, match=r'holes\[0\] \("bolt"\) and holes\[1\] \("bolt"\) run together by 2 mm'
    ):
        drawn(hole("edge", "[900, 60]") + hole("edge", "[910, 60]"))


def test_a_hole_narrower_than_the_routers_tool_is_advice() -> None:
    ok, value, least = checked(hole("edge", "[900, 60]", diameter=8) + "[cutter]\nwidth = 10\n", "hole-size")
    assert (ok, value, least) == (False, 8, 10)


@pytest.mark.parametrize("at", ["[900, 319]", "[20, 310]", "[-50, 30]", "[900, 2]"])
def test_a_hole_that_breaks_out_is_named(at: str) -> None:
    with pytest.raises(ImpossibleStringer, match=r'holes\[0\] \("bolt"\) breaks out of the part by .*; move it inward'):
        drawn(hole("edge", at))


def test_throat_is_measured_to_a_holes_rim() -> None:
    plain = W - R * T / math.hypot(R, T)
    rounded = '[cutter]\nwidth = 8\ncorner = "rounded"\n'
    _, design = drawn(hole("tread", "[260, 70]", "tread = 4") + rounded)
    by_tread = {n.tread: n.throat for n in design.part.notches}
    # The corner at the back of tread 4 lies T behind its front, and the tool's fillet ends its radius before that.
    assert by_tread.pop(4) == pytest.approx(math.hypot(T - 260 - 4, 70) - 6)
    # Behind the lowest notch the seat cut is nearer: a rise less a tread's thickness under it.
    assert list(by_tread.values()) == pytest.approx([plain] * 4 + [R - C])
    throat = next(c for c in design.checks if c.id == "throat")
    assert not throat.ok and throat.value == design.part.throat


def test_throat_from_a_relief_to_a_rim_is_a_distance() -> None:
    text = hole("tread", "[250, 60]", "tread = 4") + '[cutter]\nwidth = 12\nrelief = "diagonal"\n'
    _, design = drawn(text)
    corner = next(c for c in design.part.corners if c.tread == 4)
    assert corner.relief is not None
    arc = shapely.LineString([corner.relief.at(i / 4000) for i in range(4001)])
    rim = shapely.Point(design.part.holes[0].centre).buffer(6, quad_segs=2000)
    got = next(n.throat for n in design.part.notches if n.tread == 4)
    assert got == pytest.approx(shapely.distance(arc, rim), abs=1e-4)


def test_a_housings_throat_is_measured_to_a_holes_rim() -> None:
    rounded = '[cutter]\nwidth = 8\ncorner = "rounded"\n'
    _, design = drawn(HOUSED + hole("tread", "[290, 40]", "tread = 4\nedge_least = 1") + rounded)
    got = {n.tread: n.throat for n in design.part.notches}
    # A housing's back corner lies T + S behind the nosing.
    assert got[4] == pytest.approx(math.hypot(T + S - 290 - 4, 40) - 6)
    assert design.parts[1].part.throat == design.part.throat


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.floats(20, 480), st.floats(20, 180), st.floats(1, 8)), min_size=1, max_size=5))
@example([(100.0, 100.0, 2.0), (103.0, 100.0, 2.0), (200.0, 100.0, 8.0), (216.5, 100.0, 8.0)])
def test_edge_and_gap_in_a_plain_board(places: list[tuple[float, float, float]]) -> None:
    board = straight(((0.0, 0.0), (500.0, 0.0), (500.0, 200.0), (0.0, 200.0)), closed=True)
    holes = [Opening(((x, y),), 2 * r, "bolt", 10.0, f"holes[{i}]") for i, (x, y, r) in enumerate(places)]
    rims = [min(x, 500 - x, y, 200 - y) - r for x, y, r in places]
    gaps = [
        (math.dist(a[:2], b[:2]) - a[2] - b[2], 2 * max(a[2], b[2])) for i, a in enumerate(places) for b in places[:i]
    ]
    if any(gap <= 0 for gap, _ in gaps):
        with pytest.raises(ImpossibleStringer, match="run together"):
            opening_checks(holes, board, mm)
        return
    checks = {c.id: c for c in opening_checks(holes, board, mm)}
    assert checks["hole-edge"].value == pytest.approx(min(rims))
    assert checks["hole-edge"].ok == (min(rims) >= 10 - 1e-6)
    assert ("hole-apart" in checks) == bool(gaps)
    if gaps:
        worst = min(gaps, key=lambda g: g[0] - g[1])
        assert checks["hole-apart"].value == pytest.approx(worst[0])
        assert checks["hole-apart"].ok == all(gap >= least - 1e-6 for gap, least in gaps)


BOARD = straight(((0.0, 0.0), (500.0, 0.0), (500.0, 200.0), (0.0, 200.0)), closed=True)


def bolt(x: float, y: float, width: float = 12.0, least: float = 10.0, what: str = "bolt") -> Opening:
    return Opening(((x, y),), width, what, least, "holes[0]")


def test_a_rim_on_the_edge_breaks_out_and_one_a_hair_inside_is_told() -> None:
    """6 from the edge, of a hole 12 wide."""
    for inside, ok in ((0.5, False), (10.0, True)):
        (check,) = opening_checks([bolt(6 + inside, 100.0)], BOARD, mm)
        assert (check.ok, check.required, check.value, check.least) == (ok, True, pytest.approx(inside), 10)
        assert bool(check.mend) is not ok
    for out in (0.0, 2.0, 6.0, 20.0):
        with pytest.raises(ImpossibleStringer, match=rf"breaks out of the part by -?{out:.4f} mm"):
            opening_checks([bolt(6 - out, 100.0)], BOARD, mm)


def test_of_all_rims_the_one_that_lacks_most_is_told() -> None:
    """20 of 15 and 8 of 5 stand, 30 of 40 does not."""
    holes = [
        bolt(26, 100, least=15.0, what="a"),
        bolt(300, 36, least=40.0, what="b"),
        bolt(486, 100, least=5.0, what="c"),
    ]
    check = opening_checks(holes, BOARD, mm)[0]
    assert check.value == pytest.approx(30) and check.least == 40 and '"b"' in check.note and not check.ok


def test_two_rims_that_touch_run_together_and_a_diameter_apart_is_enough() -> None:
    """Centres 16 apart touch, of a hole 12 wide and one 20 wide; the greater diameter more is 36."""
    for apart, ok in ((16.5, False), (36.0, True), (35.9, False)):
        check = opening_checks([bolt(100, 100), bolt(100 + apart, 100, 20.0)], BOARD, mm)[1]
        assert (check.ok, check.required, check.value, check.least) == (ok, True, pytest.approx(apart - 16), 20)
        assert bool(check.mend) is not ok
    for apart in (16.0, 10.0):
        with pytest.raises(ImpossibleStringer, match=rf"run together by -?{16 - apart:.4f} mm"):
            opening_checks([bolt(100, 100), bolt(100 + apart, 100, 20.0)], BOARD, mm)


def test_of_all_pairs_the_nearest_for_its_size_is_told_but_one_that_runs_together_first() -> None:
    """Two small ones stand 5 apart where 4 would do, two large ones 12 where 40 would."""
    small = [bolt(50, 50, 4.0, what="small"), bolt(59, 50, 4.0, what="small")]
    large = [bolt(200, 100, 40.0, what="large"), bolt(252, 100, 40.0, what="large")]
    for holes in ([*small, *large], [*large, *small]):
        check = opening_checks(holes, BOARD, mm)[1]
        assert check.value == pytest.approx(12) and check.least == 40 and '"large"' in check.note
    touching = [bolt(50, 50, 4.0, what="small"), bolt(54, 50, 4.0, what="small")]
    with pytest.raises(ImpossibleStringer, match=r'"small".*"small".* run together'):
        opening_checks([*large, *touching], BOARD, mm)


def test_a_slot_is_measured_all_along() -> None:
    """From 400 to 460 along, 12 wide: 34 from the board's end, 14 from a hole 12 wide beside its middle."""
    slot = Opening(((400.0, 100.0), (460.0, 100.0)), 12.0, "slot", 10.0, "holes[1]")
    assert opening_checks([slot], BOARD, mm)[0].value == pytest.approx(34)
    assert opening_checks([slot, bolt(430, 126)], BOARD, mm)[1].value == pytest.approx(14)
    with pytest.raises(ImpossibleStringer, match="breaks out"):
        opening_checks([replace(slot, ends=((400.0, 100.0), (495.0, 100.0)))], BOARD, mm)
    assert opening_checks([], BOARD, mm) == () and len(opening_checks([slot], BOARD, mm)) == 1


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (hole("header", "[1, 2]", "tread = 1"), 'holes[0].tread: means nothing with near = "header"'),
        (hole("newel", "[1, 2]"), 'holes[0].near: "newel" is not accepted: write "tread", "header", "foot" or "edge"'),
        (hole("tread", "[1, 2]", 'tread = "top"'), 'holes[0].tread: "top" is not accepted: write "all"'),
        (hole("tread", "[1, 2]", "tread = [0]"), "holes[0].tread: 0 is not accepted: write a whole number"),
        (hole("tread", "[1, 2]", "tread = []"), "holes[0].tread: an array of 0 is not accepted"),
        (hole("tread", "5"), "holes[0].at: 5 is not accepted: write [level, plumb]"),
        ('[[holes]]\nwhat = "x"\n', "holes[0].diameter: missing"),
    ],
)
def test_faults_of_the_job(text: str, said: str) -> None:
    with pytest.raises(Fault) as caught:
        job(text)
    assert said in " ".join(caught.value.lines)


def test_holes_are_drilled_in_every_file(tmp_path: Path) -> None:
    file = tmp_path / "a.toml"
    text = BASE.format(riser=0) + hole("header", "[50, 60]") + hole("tread", "[90, 70]", "tread = [2, 5]", what="post")
    file.write_text(text + "[stringer]\ncount = 2\n" + STOCK, encoding="utf-8")
    assert run(["export", str(file), "-o", str(tmp_path / "out")]) == 0
    stringer = json.loads((tmp_path / "out" / "result.json").read_text())["stringer"]
    assert [h["what"] for h in stringer["holes"]] == ["bolt", "post", "post"]
    assert {h["diameter"] for h in stringer["holes"]} == {12.0}
    from ezdxf.filemanagement import readfile

    for path in (tmp_path / "out" / "parts").glob("*.dxf"):
        circles = readfile(path).modelspace().query('CIRCLE[layer=="DRILL"]')
        got = sorted((round(c.dxf.center.x, 6), round(c.dxf.center.y, 6), c.dxf.radius) for c in circles)
        assert got == sorted((round(h["centre"][0], 6), round(h["centre"][1], 6), 6.0) for h in stringer["holes"])


def test_where_the_distance_to_an_edge_comes_from_and_how_far_the_hole_is_to_go() -> None:
    """Two diameters where the job gives none, which nobody wrote; and the way out says how far."""
    plain = drawn(hole("header", "[29, 90]"))[1].checks
    (edge,) = (check for check in plain if check.id == "hole-edge")
    assert edge.source == "holes[0].edge_least, two diameters (common practice, no source)"
    assert edge.mend == "move it 1 mm inward, or make it smaller"
    given = drawn(hole("header", "[29, 90]", "edge_least = 22"))[1].checks
    (edge,) = (check for check in given if check.id == "hole-edge")
    assert edge.source == "holes[0].edge_least of the job" and edge.mend == ""
