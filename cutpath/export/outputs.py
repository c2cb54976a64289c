"""The files of an export as one table: what each is called, whose it is, when there is one, and what makes it.

Cut files stand apart, since what is read back of them decides whether anything is written (`cut_files.py`), and so do
the packets and `result.json`, which tell of all the others (`for_shop.py`). What makes a file is loaded as it is made.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final, Literal

from msgspec import Struct

from cutpath.pattern.tiles import Paper
from cutpath.plan.values import Plan
from cutpath.work.file_paths import board_number
from cutpath.work.values import Work

#: Made once of each job to be shown, once of each job for its site, once of all boards to be shown, or once for the
#: shop. Of one job alone, what is for the site lies beside what is for the shop.
MadeFor = Literal["job drawn", "job's site", "boards drawn", "shop"]


class Of(Struct, frozen=True):
    """What files are made of.

    Attributes:
        plan: one job's; for the boards and the shop, the one whose design holds all parts.
        work: what is done on the boards; only for the boards and the shop.
        paper: that the full-size pattern is laid out for.
    """

    plan: Plan
    work: Work | None = None
    paper: Paper = "roll"


class Output(Struct, frozen=True):
    """A file of an export, or several of one kind.

    Attributes:
        name: what it is called in its folder, with "*" for what differs where there are several.
        whose: which folder that is.
        when: in words, when there is one.
        make: gives its bytes by name, or nothing.
    """

    name: str
    whose: MadeFor
    when: str
    make: Callable[[Of], Mapping[str, bytes]]


def _stair(of: Of) -> dict[str, bytes]:
    from cutpath.pictures import stair_svg

    return {"stair.svg": stair_svg(of.plan).encode()}


def _stringer(of: Of) -> dict[str, bytes]:
    from cutpath.pictures import stringer_svg

    return {"stringer.svg": stringer_svg(of.plan).encode()}


def _strength(of: Of) -> dict[str, bytes]:
    if of.plan.design.strength is None:
        return {}
    from cutpath.pictures.strength import strength_svg

    return {"strength.svg": strength_svg(of.plan).encode()}


def _corners(of: Of) -> dict[str, bytes]:
    from cutpath.pictures import corner_svg

    drawn = corner_svg(of.plan)
    return {} if drawn is None else {"corners.svg": drawn.encode()}


def _gauge(of: Of) -> dict[str, bytes]:
    from cutpath.pictures import gauge_part, gauge_svg

    gauge = gauge_part(of.plan)
    return {} if gauge is None else {"pitch-gauge.svg": gauge_svg(of.plan, gauge).encode()}


def _plan(of: Of) -> dict[str, bytes]:
    pieces = of.plan.design.pieces
    if pieces is None:
        return {}
    from cutpath.pictures.plan_view import plan_svg

    return {"plan.svg": plan_svg(of.plan, pieces).encode()}


def _treads(of: Of) -> dict[str, bytes]:
    pieces = of.plan.design.pieces
    if pieces is None or pieces.treads is None:
        return {}
    from cutpath.pictures.tread import tread_svgs

    return {f"{name}.svg": svg.encode() for name, svg in tread_svgs(of.plan, pieces).items()}


def _rail(of: Of) -> dict[str, bytes]:
    pieces = of.plan.design.pieces
    if pieces is None or pieces.rail is None:
        return {}
    from cutpath.pictures.rail import rail_svg

    return {"rail.svg": rail_svg(of.plan, pieces, pieces.rail).encode()}


def _rail_cuts(of: Of) -> dict[str, bytes]:
    pieces = of.plan.design.pieces
    if pieces is None or pieces.rail is None:
        return {}
    from cutpath.pictures.rail_cuts import rail_cuts_svg

    return {"rail-cuts.svg": rail_cuts_svg(of.plan, pieces).encode()}


def _rail_marks(of: Of) -> dict[str, bytes]:
    pieces = of.plan.design.pieces
    if pieces is None or pieces.rail is None:
        return {}
    from cutpath.pictures.rail_marks import rail_marks_svgs

    return {f"{name}.svg": svg.encode() for name, svg in rail_marks_svgs(of.plan, pieces.rail).items()}


def _boards(of: Of) -> dict[str, bytes]:
    assert of.work is not None
    from cutpath.pictures import board_svg

    count = len(of.work.boards)
    return {
        f"board-{board_number(i, count)}.svg": board_svg(of.plan, i, done).encode()
        for i, done in enumerate(of.work.boards)
    }


def _shared_cuts(of: Of) -> dict[str, bytes]:
    assert of.work is not None
    found = {}
    for i, done in enumerate(of.work.boards):
        if of.plan.layout.boards[i].common:
            from cutpath.pictures.shared import shared_svg

            found[f"board-{board_number(i, len(of.work.boards))}-shared.svg"] = shared_svg(of.plan, i, done).encode()
    return found


def _set_ups(of: Of) -> dict[str, bytes]:
    assert of.work is not None
    found = {}
    for i, done in enumerate(of.work.boards):
        if done.set_ups:
            from cutpath.pictures.setup import setup_svg

            board = f"board-{board_number(i, len(of.work.boards))}"
            for one in done.set_ups:
                found[f"{board}-setup-{one.number}.svg"] = setup_svg(of.plan, i, done, one.number).encode()
    return found


def _lumber(of: Of) -> dict[str, bytes]:
    if of.plan.lumber is None:
        return {}
    from cutpath.pictures.strips import strip_pictures

    return {f"{name}.svg": svg.encode() for name, svg in strip_pictures(of.plan, of.plan.lumber).items()}


def _cut_list(of: Of) -> dict[str, bytes]:
    from cutpath.tables.cut_list import cut_list

    return {"cut-list.csv": cut_list(of.plan).encode()}


def _pattern(of: Of) -> dict[str, bytes]:
    from cutpath.pattern.pdf import PATTERN_FILE, pattern_pdf

    return {PATTERN_FILE: pattern_pdf(of.plan, of.paper)}


OUTPUTS: Final = (
    Output("stair.svg", "job drawn", "always", _stair),
    Output("stringer.svg", "job drawn", "always", _stringer),
    Output("plan.svg", "job drawn", "where a job asks for more than stringers", _plan),
    Output("tread*.svg", "job drawn", "where treads are listed, one a kind", _treads),
    Output("rail.svg", "job drawn", "where there is a rail", _rail),
    Output("rail-cuts.svg", "job drawn", "where there is a rail", _rail_cuts),
    Output("rail-marks*.svg", "job drawn", "where a rail has balusters", _rail_marks),
    Output("strength.svg", "job drawn", "where strength is judged", _strength),
    Output("corners.svg", "job drawn", "where parts have inside corners", _corners),
    Output("pitch-gauge.svg", "job drawn", "where a pitch gauge is asked for", _gauge),
    Output("board-*.svg", "boards drawn", "always", _boards),
    Output("board-*-shared.svg", "boards drawn", "where neighbours share a cut", _shared_cuts),
    Output("board-*-setup-*.svg", "boards drawn", "where a board is longer than the machine's bed", _set_ups),
    Output("lumber-*.svg", "boards drawn", "where there are more pieces than stringers", _lumber),
    Output("cut-list.csv", "shop", "always", _cut_list),
    Output("pattern.pdf", "job's site", "always", _pattern),
)


def made(whose: MadeFor, of: Of, folder: str = "") -> dict[str, bytes]:
    """The files of one row of folders, by path.

    Args:
        whose: which of the table's.
        of: what they are made of.
        folder: that they lie in; "": the export's own.
    """
    found: dict[str, bytes] = {}
    for output in OUTPUTS:
        if output.whose == whose:
            found |= {f"{folder}/{name}".lstrip("/"): data for name, data in output.make(of).items()}
    return found
