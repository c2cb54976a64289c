"""The nest on sheets: panels and plates, parts cut all round, teeth into teeth.

First layouts come from letting parts down one after another and pressing them together (`drop`,
`press`); they hang on nothing but the job. Where fewer or cheaper sheets might do, and time is given, spyrrow
searches for each layout that would save some (`savings`); what it finds is pressed and checked like the rest.
Which layouts are used how often is an integer program, as on boards.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from msgspec.structs import replace

from cutpath.faults import Fault, NoNest
from cutpath.job.values import StockBoards
from cutpath.nest.costs import all_priced
from cutpath.nest.sheets.progress import SheetProgress, TimeUp
from cutpath.nest.values import Keep, Layout, PartKind
from cutpath.units import Show


class EdgesOfSheets(Fault):
    """Parts are to keep a sheet's own edges, which can't be."""


def _plain(length: float) -> str:
    return f"{length:.1f} mm"


def nest_sheets(
    kinds: Sequence[PartKind],
    stock: Sequence[StockBoards],
    *,
    gap: float,
    end_trim: float,
    keep: Keep | None = None,
    seconds: float = 10.0,
    seed: int = 1,
    show: Show = _plain,
    progress: Callable[[SheetProgress], None] | None = None,
) -> Layout:
    """Put every part on the sheets in stock at least cost, as far as is found in the time given.

    What is least is the sum of prices where every entry has one, else the area of the sheets used, less what their
    offcuts count for; then the length taken up on each. Parts lie along the sheet or turned end for end, or with
    `grain = "free"` at any angle.

    Args:
        kinds: the parts, by shape, with trimmed edges; the greatest `edge_trim` is kept clear at both long sides.
        stock: the sheets, `least_width` being the other side; with defects, only the longest clear stretch is used.
        gap: least clear distance between two outlines, millimetres.
        end_trim: kept clear at each end of a sheet, millimetres.
        keep: what offcuts are worth: what is left at the right end, as wide as the sheet. None: nothing.
        seconds: for the search, past the first layouts; 0: none, and the layout is the same on every machine.
        seed: of everything that is tried by chance.
        show: writes millimetres as text in the job's unit, for the faults.
        progress: called a few times a second, and at the end. Ctrl-C keeps the best so far, once there is any.

    Returns:
        The layout, its measure "money" or "area" (square millimetres).

    Raises:
        EdgesOfSheets: a part's edges are to be the sheet's.
        PartFitsNoBoard: a part fits none of the sheets.
        TooFewBoards: no layout was found with the sheets there are.
        NoNest: there is no stock at all.
        KeyboardInterrupt: Ctrl-C before there is any layout.
    """
    kinds = tuple(kind for kind in kinds if kind.count > 0)
    for kind in kinds:
        if kind.edges == "factory":
            raise EdgesOfSheets(
                f"stringer.edges: {kind.name} can't keep the edges of a sheet, it is cut all round: "
                'write edges = "trimmed"'
            )
    priced = all_priced(stock)
    if not kinds:
        return Layout((), "money" if priced else "area", 0.0 if priced else None, 0.0, 0.0, 0.0)
    if not stock:
        raise NoNest("no sheets in stock: list some under [[stock]]")
    from cutpath.nest.sheets.greedy import fill_up
    from cutpath.nest.sheets.savings import save
    from cutpath.nest.sheets.search import can_search
    from cutpath.nest.sheets.under_way import Nest

    nest = Nest(kinds, stock, gap, end_trim, keep, seconds, seed, progress)
    nest.each_fits_somewhere(show)
    try:
        nest.quick_layouts()
        nest.first_layouts()
        nest.choose(show)
        if seconds > 0:
            if can_search():
                fill_up(nest)
            save(nest)
    except TimeUp:
        pass
    except KeyboardInterrupt:
        if not nest.choice.boards:
            raise
        nest.stop()
    layout = replace(nest.layout(), stopped=nest.stopped)
    nest.tell(done=True)
    return layout
