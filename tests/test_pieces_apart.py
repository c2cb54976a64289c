"""No piece of a stair stands in another, in a stringer, in the header or in the floor."""

from __future__ import annotations

from itertools import combinations

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.faults import ImpossiblePiece
from cutpath.pieces.values import Stand
from tests.piece_jobs import IN, RISERS, TREADS, drawn

Solid = tuple[str, shapely.Polygon, tuple[float, float], shapely.Polygon]
"""A name, an outline seen from the side, from and to across the stair, an outline seen from above."""

#: Square millimetres that rounding may leave of two that touch.
TOUCH = 1e-3


def solid(name: str, stand: Stand) -> Solid:
    side = stand.elevation.polygon()
    left, _, right, _ = side.bounds
    above = shapely.box(left, stand.across[0], right, stand.across[1]) if stand.plan is None else stand.plan.polygon()
    return name, side, stand.across, above


def clash(a: Solid, b: Solid) -> bool:
    """Whether two share room: pieces are upright or flat prisms, so one of two ways to look at them tells."""
    across = min(a[2][1], b[2][1]) - max(a[2][0], b[2][0])
    if across <= 1e-6 or a[1].intersection(b[1]).area <= TOUCH:
        return False
    return bool(a[3].intersection(b[3]).area > TOUCH)


def clashes(more: str, riser: float, top: str, stringer: str) -> list[tuple[str, str]]:
    found = drawn(more, riser=riser, top=top, stringer=stringer)
    assert found.pieces is not None
    solids = [solid(piece.name, stand) for piece in found.pieces.all for stand in piece.stands]
    outline = shapely.Polygon([v.point for v in found.stringer.vertices])
    wide = (-10 * IN, found.pieces.overall + 10 * IN)
    left, _, right, _ = outline.bounds
    solids += [("stringer", outline, z, shapely.box(left, z[0], right, z[1])) for z in found.pieces.stringers]
    solids.append(("header", shapely.box(-100, -400, 0, 0), wide, shapely.box(-100, wide[0], 0, wide[1])))
    if top == "one-below":
        edge = found.built.nosings[0][0]
        solids.append(("floor", shapely.box(0, -38.1, edge, 0), wide, shapely.box(0, wide[0], edge, wide[1])))
    return [(a[0], b[0]) for a, b in combinations(solids, 2) if clash(a, b)]


SILL = "sill_notch = {deep = 3, high = 1.5}"


@pytest.mark.parametrize("top", ["one-below", "at-floor"])
@pytest.mark.parametrize(
    ("more", "riser"),
    [
        (TREADS + RISERS + "[rail]", 0.75),
        (TREADS + "side_overhang = 2\n[rail]\nset_back = 0\nposts = [1, 2, 5]", 0),
        (TREADS + RISERS + '[rail]\nplace = "inside"', 0.75),
        (TREADS + RISERS + 'foot = "standing"\n[rail]\nbottom_clear = 3\nends = "square"', 0.75),
        ('[treads]\nsize = "2x12"\nside_overhang = 3\n[rail]\npost = "4x6"\nset_back = "2 1/4"\nbottom_clear = 0', 0),
        (TREADS + '[rail]\nplace = "inside"\nset_back = 0\npost_below = 4', 0),
    ],
)
def test_no_two_solids_share_room(more: str, riser: float, top: str) -> None:
    assert clashes(more, riser, top, SILL) == []


eighths = st.integers(0, 64).map(lambda eighth: eighth / 8)


@given(
    st.sampled_from([0, 0.75]),
    st.sampled_from(["one-below", "at-floor"]),
    st.sampled_from(["", SILL, SILL + "\ncount = 2"]),
    st.sampled_from(["behind", "standing"]),
    st.sampled_from(["outside", "inside"]),
    st.lists(st.integers(1, 5), min_size=2, max_size=4, unique=True),
    st.tuples(eighths, eighths, eighths, eighths),
    st.sampled_from(["4x4", "4x6", "2x4", "2x2"]),
    st.sampled_from(["2x2", "2x6", "2x10", "2x12"]),
)
@settings(max_examples=40, deadline=None)
def test_nor_do_those_of_any_job_that_is_not_refused(
    riser: float, top: str, stringer: str, foot: str, place: str, posts: list[int], lengths: tuple[float, ...],
    post: str, size: str,
) -> None:  # fmt: skip
    overhang, set_back, below, clear = lengths
    risers = f'{RISERS}foot = "{foot}"\n' if riser else ""
    rail = f'[rail]\nplace = "{place}"\nposts = {posts}\npost = "{post}"\nset_back = {set_back}\n'
    rail += f"post_below = {below + 4}\n" if below else ""
    try:
        found = clashes(
            f'[treads]\nsize = "{size}"\nside_overhang = {overhang / 2}\n{risers}{rail}bottom_clear = {clear}',
            riser,
            top,
            stringer,
        )
    except ImpossiblePiece as fault:
        assert fault.key
        return
    assert found == []
