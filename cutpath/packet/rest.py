"""The packet's page on the rest of the stair: the order in which treads, riser boards, posts and rail go on, drawn."""

from __future__ import annotations

from fnmatch import fnmatch
from typing import Final

from cutpath.packet.html import Markup, figure, heading, joined, listed, paragraph, text
from cutpath.packet.source import Source
from cutpath.pictures.standing import inside_stringers
from cutpath.pieces.values import Pieces
from cutpath.plan.values import Plan

#: The drawings by the names of their files, and their titles.
_DRAWINGS: Final = (
    ("plan", "The stair in plan"),
    ("tread*", "Treads on their stringers"),
    ("rail", "The rail on its stair"),
    ("rail-cuts*", "End cuts of the rail's pieces"),
    ("rail-marks*", "Balusters along the rails"),
)

_FASTENING: Final = (
    "What holds a post decides whether a guard holds. Fasteners, blocking and footing of posts are for the local code "
    "and a licensed professional; nothing here says how. Until they are in, the stair carries nobody."
)


def rest_page(source: Source) -> Markup:
    """How the other pieces are set up, then their drawings."""
    pieces = source.plan.design.pieces
    assert pieces is not None
    order = [
        heading("In this order"),
        paragraph("Common practice, no source; from the foot up, so that each piece is laid from one that lies."),
        listed(set_up_order(source.plan, pieces), ordered=True),
    ]
    fastening = [paragraph(_FASTENING)] if pieces.rail is not None else []
    return joined([*order, *fastening, *_figures(source)])


def _figures(source: Source) -> list[Markup]:
    """The drawings that there are."""
    found = []
    for pattern, title in _DRAWINGS:
        names = [
            path.removeprefix(f"{source.pictures}/").removesuffix(".svg")
            for path in source.files
            if path.startswith(f"{source.pictures}/") and path.endswith(".svg")
        ]
        alike = [name for name in names if fnmatch(name, pattern)]
        for number, name in enumerate(alike, 1):
            svg = source.svg(f"{source.pictures}/{name}.svg")
            assert svg is not None
            whole = f"{title}, {number} of {len(alike)}" if len(alike) > 1 else title
            found.append(figure(name, text(whole), svg))
    return found


def set_up_order(plan: Plan, pieces: Pieces) -> list[str]:
    """What is done in turn, in words.

    Args:
        plan: the whole job.
        pieces: its other pieces.
    """
    risers, treads, rail = plan.job.riser_boards, pieces.treads, pieces.rail
    found = ["Sill plate, then stringers: hung, level with one another, checked along the string line."]
    if pieces.stringers and not pieces.of("sill plate"):
        found[0] = found[0].replace("Sill plate, then stringers", "Stringers")
    posts = (
        "Posts: each at its tread, its face nearest to the header as far out as in plan, plumb both ways, clamped. "
        "Mark its lower end and the rail's slope on it where it stands, before the list's length is trusted."
    )
    inside = inside_stringers(pieces)
    notched = any(piece.shape is not None for piece in pieces.of("tread"))
    if rail is not None and (inside or notched):
        found.append(f"{posts} They stand before the treads are laid, which are notched round them.")
    if risers is not None and treads is not None:
        found.append(
            "Riser boards and treads by turns, the lowest riser board first: it stands on the landing; every other one "
            "runs down behind the tread below it, and that tread is pushed against its face."
            if risers.foot == "behind"
            else "Riser boards and treads by turns, the lowest riser board first: every other one stands on the tread "
            "below it, so that tread goes on before it."
        )
    elif risers is not None:
        found.append("Riser boards, from the lowest up.")
    elif treads is not None:
        found.append("Treads, from the lowest up.")
    if treads is not None:
        more = ", with the gap between boards held by a spacer" if treads.boards > 1 else ""
        found.append(
            f"Each tread: its front board to the nosing, square to the stringers{more}; a board that is ripped lies at "
            "the back, its sawn edge towards the riser."
        )
    if rail is not None:
        if not inside and not notched:
            found.append(posts)
        found += [
            "Bottom rail: between the posts, on blocks of its clearance over two nosings; mark its plumb cuts from the "
            "posts.",
            "Top rail: on the posts' tops, checked plumb over a nosing at both ends for its height.",
            "Balusters: marked on both rails from the upper post, plumb. Try a block as wide as the code's sphere "
            "between them, and one as its other sphere under the bottom rail: neither must pass.",
        ]
    return found
