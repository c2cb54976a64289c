"""Two stringers on a sheet held against a fine search, box nests, and what Ctrl-C and the search's process leave."""

import math

import pytest
import shapely
from msgspec.structs import replace
from shapely.affinity import rotate, translate

from cutpath.job.values import StockBoards
from cutpath.nest.boards.misfits import TooFewBoards
from cutpath.nest.sheets.nest_sheets import nest_sheets
from cutpath.nest.sheets.progress import SheetProgress
from cutpath.nest.sheets.search import Item, SearchFailed, can_search, search
from cutpath.nest.sheets.shape import convex_pieces, covering
from cutpath.nest.sheets.under_way import Nest
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.nest.values import Layout, PartKind
from cutpath.outline import Chain, straight
from tests.test_nest_shapes import stringer

GAP, TRIM = 12.0, 6.0
SHEET = StockBoards("panel", 18.0, 1220.0, 1220.0, 2440.0, None, None, (), kind="sheet")


def kind(outline: Chain, count: int) -> PartKind:
    return PartKind("part", outline, 285.75, count, "trimmed", 0.0)


def laid(kinds: list[PartKind], sheet: StockBoards, **options) -> Layout:
    layout = nest_sheets(kinds, [sheet], gap=GAP, end_trim=TRIM, **{"seconds": 0.0, **options})
    verify_sheets(layout, kinds, GAP, TRIM, [sheet])
    return layout


def least_pair_width(part: shapely.Polygon, room: float, step: float) -> float:
    """Least width of a sheet for two, by trying every shift along in steps, each brought down until the gap is kept."""
    best = math.inf
    x0, _, x1, _ = part.bounds
    turned = rotate(part, 180, origin="center")
    for lower, upper in ((part, part), (part, turned), (turned, part)):
        grown = lower.buffer(GAP, quad_segs=32)
        shapely.prepare(grown)
        shifts = math.floor((room - (x1 - x0)) / step)
        for shift in range(-shifts, shifts + 1):
            # From below the heights at which they touch are not one stretch; from above the first is what counts.
            low, high = 0.0, 2 * part.bounds[3]
            moved = translate(upper, shift * step, 0)
            while high - low > 0.05:
                middle = (low + high) / 2
                clear = all(
                    not translate(moved, 0, middle + k * (high - middle) / 8).intersects(grown) for k in range(8)
                )
                low, high = (low, middle) if clear else (middle, high)
            best = min(best, max(lower.bounds[3], upper.bounds[3] + high))
    return best


@pytest.mark.slow
@pytest.mark.parametrize("risers", [5])
def test_a_pair_lies_as_close_as_a_fine_search_finds(risers: int) -> None:
    outline = stringer(risers=risers)
    x0, _, x1, _ = outline.extents()
    room = x1 - x0 + 200
    best = least_pair_width(outline.polygon(), room, 4.0)
    sheet = replace(SHEET, length=room + 2 * TRIM, quantity=1)
    # The search stands every 4 mm, and the steepest flank gives 4 * 10.5 / 7.25 mm of height away in that.
    narrow = best + 0.2
    assert len(laid([kind(outline, 2)], replace(sheet, width=narrow, least_width=narrow)).boards) == 1
    narrow = best - 6.0
    with pytest.raises(TooFewBoards):
        laid([kind(outline, 2)], replace(sheet, width=narrow, least_width=narrow))


@pytest.mark.slow
def test_stringers_take_fewer_sheets_than_their_boxes() -> None:
    outline = stringer(relief=4.7625)
    x0, y0, x1, y1 = outline.extents()
    box = straight(((0.0, 0.0), (x1 - x0, 0.0), (x1 - x0, y1 - y0), (0.0, y1 - y0)), closed=True)
    toothed, boxes = laid([kind(outline, 10)], SHEET), laid([kind(box, 10)], SHEET)
    print(f"sheets: {toothed.value / boxes.value:.3f} of a box nest's")
    assert toothed.value <= 0.8 * boxes.value + 1e-6
    # Five on a sheet is the most by area, so that two sheets are proved the fewest.
    assert toothed.bound == pytest.approx(toothed.value)


def test_a_covering_is_made_of_convex_pieces_and_covers() -> None:
    for outline in (
        stringer(relief=4.7625),
        stringer(risers=4),
        Chain(((0, 0), (90, 0), (90, 60)), (0.0, 0.4, 0), True),
    ):
        cover = covering(outline)
        pieces = [shapely.Polygon(piece) for piece in convex_pieces(cover)]
        assert all(piece.area >= piece.convex_hull.area - 1e-6 for piece in pieces)
        assert shapely.union_all(pieces).symmetric_difference(shapely.Polygon(cover)).area < 1e-6
        assert outline.polygon().difference(shapely.Polygon(cover).buffer(1e-6)).area < 1e-6


@pytest.mark.skipif(not can_search(), reason="needs spyrrow")
def test_a_search_that_reaches_its_goal_gives_the_same_again() -> None:
    items = [Item(tuple(stringer(risers=3).points), 6, (0.0, 180.0))]
    # The first layout is 1610 long; about 70 shorter ones come before this.
    first, again = (search(items, 700.0, seconds=40, seed=3, goal=1500.0) for _ in range(2))
    assert first.settled and again.settled and len(first.found) > 3
    assert 1490 < first.found[-1].length <= 1500
    assert first.found == again.found


@pytest.mark.skipif(not can_search(), reason="needs spyrrow")
def test_a_search_that_breaks_off_is_told() -> None:
    with pytest.raises(SearchFailed, match="0 seconds"):
        search([Item(((0.0, 0.0), (1.0, 0.0)), 1, (0.0,))], 10.0, seconds=10, seed=1)


@pytest.mark.slow
def test_ctrl_c_keeps_the_best_so_far_and_progress_is_told() -> None:
    # More might go on a sheet by area than the first layouts have, so that there is something to search for.
    outline = stringer(risers=3)
    x0, _, x1, _ = outline.extents()
    kinds, sheet = [kind(outline, 6)], replace(SHEET, length=x1 - x0 + 2 * TRIM + 40)
    every: list[SheetProgress] = []
    quick = laid(kinds, sheet, progress=every.append)
    assert quick.bound < quick.value and not quick.stopped
    early = [now.sheets for now in every].index(quick.boards and max(now.sheets for now in every)) + 1
    # While the first layouts are made, right after the first one; and while they are searched.
    for at in (early, len(every) + 3):
        told: list[SheetProgress] = []

        def stop(now: SheetProgress, told: list[SheetProgress] = told, at: int = at) -> None:
            told.append(now)
            if len(told) == at:
                raise KeyboardInterrupt

        layout = laid(kinds, sheet, seconds=60.0, progress=stop)
        assert layout.stopped and layout.bound <= quick.value
        assert at == early or layout.value <= quick.value
        assert told[-1].done and len(told) == at + 1
        assert told[-1].seconds < 30


def test_ten_kinds_have_a_layout_to_keep_before_the_first_sheet_is_filled_well() -> None:
    kinds = [replace(kind(stringer(risers=n), 8), name=f"{n} risers") for n in range(3, 9)]
    told: list[SheetProgress] = []

    def stop(now: SheetProgress) -> None:
        told.append(now)
        if now.sheets and not now.done:
            raise KeyboardInterrupt

    layout = laid(kinds, SHEET, progress=stop)
    assert layout.stopped and len(told) < 20
    assert 0 < layout.bound < layout.value <= 1.6 * layout.bound


def test_what_was_found_by_the_time_of_ctrl_c_is_made_the_best_of(monkeypatch: pytest.MonkeyPatch) -> None:
    """Quick layouts take two sheets; once one is filled well, the choice is not left to the quick ones."""
    kinds = [kind(stringer(risers=5), 6)]

    def stop(nest: Nest, *show: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(Nest, "choose", stop)
    well = laid(kinds, SHEET)
    monkeypatch.setattr(Nest, "first_layouts", stop)
    quick = laid(kinds, SHEET)
    assert (len(well.boards), len(quick.boards)) == (1, 2)
    assert well.stopped and quick.stopped
