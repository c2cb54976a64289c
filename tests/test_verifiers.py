"""Checks that are only worth their time if they can fail: each is shown something wrong by just more than it allows."""

from __future__ import annotations

import math
from typing import Any

import pytest
import shapely
from msgspec.structs import replace

from cutpath.cut.features import Hole
from cutpath.cut.onboard import freeing_paths
from cutpath.cut.paths import cut_path, run_past
from cutpath.cut.program import Operation
from cutpath.cut.relief import CutPart, cut_part
from cutpath.cut.setups.places import CLEAR, places
from cutpath.cut.setups.values import PartOnBoard
from cutpath.cut.simulate import meant
from cutpath.cut.tabs import place_tabs
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.values import Cutter, Tabs
from cutpath.nest import BadLayout, Layout
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.outline import Chain, shift
from cutpath.rules.measures import MEASURES
from tests.jobs import job_with, plan_of
from tests.stairs import mm, spec
from tests.test_paths import ROUTER, part_of
from tests.test_sheets import GAP, SHEET, TRIM, laid, stringers


def only(layout: Layout, used: float | None = None, **changes: Any) -> Layout:
    """A layout of one board with its only part changed, used length and offcut with it."""
    (first,) = layout.boards
    (part,) = first.parts
    used = first.used if used is None else used
    changed = replace(first, parts=(replace(part, **changes),), used=used, offcut=first.stock.length - used)
    return replace(layout, boards=(changed,))


@pytest.mark.parametrize("side", ["left", "right", "low", "high"])
@pytest.mark.parametrize(("past", "holds"), [(-0.01, True), (0.01, False), (4.0, False), (9.0, False)])
def test_a_part_in_a_sheets_trim_is_found(side: str, past: float, holds: bool) -> None:
    """Ends keep the end trim of 10, sides the part's edge trim of 5."""
    one = stringers(1)
    layout = laid([one], [SHEET])
    part = layout.boards[0].parts[0]
    left, low, right, high = one.outline.moved(part.motion).extents()
    dx = {"left": TRIM - past - left, "right": SHEET.length - TRIM + past - right}.get(side, 0.0)
    dy = {"low": one.edge_trim - past - low, "high": SHEET.least_width - one.edge_trim + past - high}.get(side, 0.0)
    put = only(layout, right + dx, motion=part.motion.then(dx, dy), x=part.x + dx, y=part.y + dy)
    if holds:
        verify_sheets(put, [one], GAP, TRIM)
        return
    with pytest.raises(BadLayout, match="reaches past what is clear"):
        verify_sheets(put, [one], GAP, TRIM)


BEAM = Cutter("router", 20.0, "relieved", "centre", 0.0)


@pytest.mark.parametrize(
    ("degrees", "overrun", "expected"),
    [
        # Square to the edge both lines leave the board together, so only the overrun counts.
        (90, 5.0, 5.0),
        (90, 30.0, 30.0),
        # At 45 degrees the design line, 10 to the left, leaves 10 later along the cut than the centre line does.
        (45, 0.0, 10.0),
        (45, 4.0, 10.0 + 4.0),
        (45, 12.0, 10.0 + 10.0),
        (45, 25.0, 25.0),
        # And at 135 it leaves 10 sooner.
        (135, 4.0, 4.0),
    ],
)
def test_a_cut_runs_on_until_the_design_line_is_through(degrees: float, overrun: float, expected: float) -> None:
    """By hand: how far past the board's edge, along the cut, the tool's centre goes; radius 10."""
    angle = -math.radians(degrees)
    u, v = math.cos(angle), math.sin(angle)
    end = (100.0, 7.0)
    inner = (end[0] - 50 * u, end[1] - 50 * v)
    design = (end[0] + 10 * -v, end[1] + 10 * u)
    x, y = run_past(inner, end, design, 3.0, replace(BEAM, overrun=overrun))
    leaves = (end[0] + (3.0 - 7.0) / v * u, 3.0)
    assert (x - leaves[0]) * u + (y - leaves[1]) * v == pytest.approx(expected)
    assert (x - leaves[0]) * -v + (y - leaves[1]) * u == pytest.approx(0.0, abs=1e-9), "on the cut's own line"


def plate(profile: str, edges: str) -> CutPart:
    made = {"form": "plate", "edges": edges, "count": 2, "sill_notch": None}
    made["plate"] = {"profile": profile, "bracket": {"count": 0}}
    return plan_of(job_with(stringer=made)).design.part


@pytest.mark.parametrize("edges", ["factory", "trimmed"])
@pytest.mark.parametrize("profile", ["saw-tooth", "straight"])
def test_a_boards_own_edge_is_cut_only_where_it_is_trimmed(profile: str, edges: str) -> None:
    part = plate(profile, edges)
    paths = freeing_paths(part, ROUTER, 2.0)
    assert len(paths) == (2 if (profile, edges) == ("straight", "factory") else 1)
    assert all(path.closed == (edges == "trimmed") for path in paths)
    # How much of the part's lower edge the tool runs along.
    lower = shapely.LineString([(0.0, 0.0), (part.outline.extents()[2], 0.0)]).buffer(0.01)
    along = sum(path.line().intersection(lower).length for path in paths)
    kept = max(b[0] - a[0] for a, b, bulge in part.outline.segments() if not bulge and abs(a[1]) + abs(b[1]) < 1e-6)
    assert kept > 200
    assert along == (pytest.approx(kept, abs=1.0) if edges == "trimmed" else pytest.approx(0.0, abs=1.0))


def divided(holes: tuple[Hole, ...], width: float, overlap: float) -> dict[str, list[tuple[Any, Any]]]:
    """Ends of the stretches on which a division's middle may lie, by what is cut there."""
    part = replace(part_of(), edges="trimmed", holes=holes)
    path = cut_path(part, replace(ROUTER, width=width), 0.0)
    found = places(Operation("outline", 0, path), [PartOnBoard(part, shift(0.0, 0.0))], width, overlap)
    ends: dict[str, list[tuple[Any, Any]]] = {}
    for place in found:
        ends.setdefault(place.on, []).append((place.at(place.low), place.at(place.high)))
    return ends


@pytest.mark.parametrize("diameter", [10.0, 26.0])
@pytest.mark.parametrize("overlap", [4.0, 20.0])
def test_divisions_keep_off_holes_by_the_stated_distance(diameter: float, overlap: float) -> None:
    """A hole above the middle of the lower edge: what is cut twice, tool included, ends CLEAR from its rim's shadow."""
    width = 8.0
    before = divided((), width, overlap)["lower edge"]
    (low, high) = max((sorted(ends) for ends in before), key=lambda e: e[1][0] - e[0][0])
    middle = (low[0] + high[0]) / 2
    reach = diameter / 2 + CLEAR + width / 2 + overlap / 2
    assert high[0] - low[0] > 2 * reach + 10
    after = [sorted(ends) for ends in divided((Hole((middle, 60.0), diameter, "bolt"),), width, overlap)["lower edge"]]
    gaps = [a[1][0] for a in after] + [b[0][0] for b in after]
    assert any(x == pytest.approx(middle - reach) for x in gaps)
    assert any(x == pytest.approx(middle + reach) for x in gaps)
    assert not any(a[0] < middle + reach - 1e-6 and b[0] > middle - reach + 1e-6 for a, b in after)


@pytest.mark.parametrize(("off", "free"), [(-0.01, False), (0.01, True)])
def test_a_hole_counts_on_a_riser_cut_as_far_as_it_harms(off: float, free: bool) -> None:
    """Beside the middle of a riser cut: harmful to its rim's distance, CLEAR and the tool's radius, and no further."""
    width, overlap, diameter = 8.0, 4.0, 10.0
    risers = divided((), width, overlap)["riser cut"]
    a, b = risers[1]
    length = math.dist(a, b)
    u, v = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    away = diameter / 2 + CLEAR + width / 2 + off
    # Clockwise round the part it lies on the right.
    at = ((a[0] + b[0]) / 2 + away * v, (a[1] + b[1]) / 2 - away * u)
    after = divided((Hole(at, diameter, "bolt"),), width, overlap)["riser cut"]
    assert ((a, b) in after) == free


@pytest.mark.parametrize(("count", "each"), [(1, [1]), (2, [1, 1]), (3, [2, 1]), (4, [2, 2]), (5, [3, 2])])
def test_tabs_that_go_evenly_on_no_two_ends_are_all_placed(count: int, each: list[int]) -> None:
    """Factory edges: the foot's front and the level cut are left, and the first takes the odd one."""
    placed = place_tabs(plate("straight", "factory"), replace(ROUTER, width=1.0), Tabs(count=count, width=2.0))
    sides = [tab.along for tab in placed]
    assert [sides.count(side) for side in dict.fromkeys(sides)] == each


def test_cuts_that_meet_in_the_surplus_leave_it_a_corner() -> None:
    """By hand: from (0, 0) on along (5, -10), from (10, 0) on along (-5, -10): they meet at (5, -10)."""
    outline = Chain(((0.0, 0.0), (10.0, 0.0), (15.0, 10.0), (-5.0, 10.0)), (0.0,) * 4, True)
    (corner,) = meant._surplus(outline, 0, shapely.box(-50.0, -30.0, 50.0, 10.0))
    assert corner == pytest.approx((5.0, -10.0))
    moved = outline.moved(shift(100.0, -7.0))
    (corner,) = meant._surplus(moved, 0, shapely.box(50.0, -37.0, 150.0, 3.0))
    assert corner == pytest.approx((105.0, -17.0))


def test_a_limit_on_pitch_bounds_the_rise_by_its_tangent() -> None:
    """A pitch of 42 degrees over a run of 250: 250 tan 42 = 225.10 (table of tangents: 0.90040)."""
    assert MEASURES["pitch"].rise_of(42.0, 250.0, 8) == pytest.approx(250 * 0.90040, abs=0.002)


def test_cuts_of_a_toothed_part_that_meet_before_the_boards_edge_are_joined() -> None:
    """Run on past where they meet they would cross, and be two cuts where one frees the part."""
    stair = Stair(3, 150.0, 250.0, "one-below", 40.0, 0.0, 25.0, 25.0)
    part = cut_part(build_stringer(stair, spec(), 250.0, mm), "rounded", 3.0)
    (near,) = freeing_paths(part, ROUTER, 0.0)
    (wide,) = freeing_paths(part, ROUTER, 400.0)
    assert not near.closed and wide.closed
    assert near.line().is_simple and wide.line().is_simple
