"""Ends of open cuts drawn by hand: at tabs, at the line of a neighbour, at nothing."""

from __future__ import annotations

import math

import pytest

from cutpath.outline import Chain, Motion
from tests.drawn_by_hand import Item, box, cut, hits, kinds, near, run

#: What a file of a board whose parts share cuts says of it.
SHARES = {"texts": ("Parts that share a cut: 1 and 2",)}
ENDS = ("open-contour", "tab-gap", "shared-end", "set-up-end")


def of_ends(*items: Item, tool: float | None = None, **more: object) -> dict[str, list[str]]:
    """What is told of ends, in words."""
    found = hits(items, tool, **more)
    return {kind: [hit.detail for hit in told] for kind, told in found.items() if kind in ENDS}


def gapped(gap: float, low: float = 0.0) -> list[Item]:
    """An oblong of 600 by 400 with one gap in its lower side, from x = 100 on."""
    return [
        run((100.0, low), (0.0, low), (0.0, low + 400.0), (600.0, low + 400.0)),
        run((600.0, low + 400.0), (600.0, low), (100.0 + gap, low)),
    ]


@pytest.mark.parametrize("gap", [1.0, 6.0, 90.0])
@pytest.mark.parametrize("layer", ["TAB", "MARK"])
def test_a_line_that_is_not_cut_through_joins_two_ends_as_a_tab(gap: float, layer: str) -> None:
    """However wide, drawn either way, alone or among lines that join nothing."""
    words = f"{gap:.6g} mm for the tab on layer {layer}"
    others = [run((300.0, 100.0), (310.0, 100.0), layer=layer), run((100.0, 0.0), (100.0, 50.0), layer=layer)]
    for ends in (((100.0, 0.0), (100.0 + gap, 0.0)), ((100.0 + gap, 0.0), (100.0, 0.0))):
        middle = ((ends[0][0] + ends[1][0]) / 2, 0.0)
        assert of_ends(*gapped(gap), run(ends[0], middle, ends[1], layer=layer)) == {"tab-gap": [words]}
        tab = run(*ends, layer=layer)
        assert of_ends(*gapped(gap), tab) == {"tab-gap": [words]}
        assert of_ends(*gapped(gap)[::-1], *others, tab) == {"tab-gap": [words]}
    # One that stops short of an end by more than ends that are one are apart leaves it open.
    for off, told in ((0.009, "tab-gap"), (0.011, "open-contour")):
        assert set(of_ends(*gapped(gap), run((100.0, 0.0), (100.0 + gap - off, 0.0), layer=layer))) == {told}
    # Nor does one that comes back to the end it starts at join anything.
    loop = run((100.0, 0.0), (100.0 + gap, 5.0), (100.0, 0.0), layer=layer)
    assert set(of_ends(*gapped(gap), loop)) == {"open-contour"}


def test_ends_at_a_drawn_tab_are_no_others_pair() -> None:
    """Two gaps of 6 in line, one of them drawn as a tab: the other is one by its width, and each is told once."""
    both = [*gapped(6.0), *gapped(6.0, 500.0)]
    assert of_ends(*both) == {"tab-gap": ["6 mm in line, taken for a tab"] * 2}
    found = of_ends(*both, run((100.0, 0.0), (106.0, 0.0), layer="TAB"))
    assert found == {"tab-gap": ["6 mm for the tab on layer TAB", "6 mm in line, taken for a tab"]}


@pytest.mark.parametrize("gap", [2.0, 60.0])
def test_tabs_of_the_least_and_the_greatest_width_are_tabs(gap: float) -> None:
    assert of_ends(*gapped(gap), *gapped(gap, 500.0)) == {"tab-gap": [f"{gap:g} mm in line, taken for a tab"] * 2}


@pytest.mark.parametrize("long", [0.0, 2e-5, 0.005])
def test_what_is_too_short_to_be_cut_says_nothing_of_where_a_cut_goes(long: float) -> None:
    """Cuts that end in a point twice, or in a step across: still in line over gaps of 6."""
    lines = [[(0.0, 0.0), (100.0, 0.0), (100.0, long)], [(106.0, long), (106.0, 0.0), (200.0, 0.0)]]
    lines += [[(x, y + 300.0) for x, y in line] for line in lines]
    for way in (1, -1):
        assert len(of_ends(*(run(*line[::way]) for line in lines))["tab-gap"]) == 2


def test_an_arc_however_small_leaves_along_its_tangent() -> None:
    """Gaps of 6 beside a rounding of 0.4."""
    quarter = -math.tan(math.pi / 8)
    items = []
    for y in (0.0, 300.0):
        items += [
            cut(Chain(((0.0, y - 50.0), (0.0, y), (0.4, y + 0.4)), (0.0, quarter, 0.0), False)),
            run((6.4, y + 0.4), (90.0, y + 0.4)),
        ]
    assert of_ends(*items)["tab-gap"] == ["6 mm in line, taken for a tab"] * 2
    # A point twice with a bulge between is no arc.
    doubled = [cut(Chain((*c.points, c.points[-1]), (*c.bulges[:-1], 0.5, 0.0), False)) for c, _, _ in items]
    assert of_ends(*doubled)["tab-gap"] == ["6 mm in line, taken for a tab"] * 2


def test_cuts_of_nothing_but_short_steps_leave_as_they_lie_as_a_whole() -> None:
    """Of 240 steps along and 3 across at the far end, 2.376 mm long, with gaps of 2.1 between them."""
    rows = []
    for y in (0.0, 300.0):
        for x, far in ((0.0, 0), (4.476, 240)):
            along = [(x + 0.0099 * k, y) for k in range(241)]
            across = [(x + 0.0099 * far, y + 0.0099 * k) for k in (1, 2, 3)]
            rows.append([*along, *across] if far else [*across[::-1], *along])
    found = of_ends(*(run(*points[:: -1 if k % 2 else 1]) for k, points in enumerate(rows)))
    assert found["tab-gap"] == ["2.1 mm in line, taken for a tab"] * 2


@pytest.mark.parametrize(("tool", "reach"), [(6.0, 3.0), (12.0, 6.0), (None, 25.0)])
@pytest.mark.parametrize("turn", [0.0, 0.8])
def test_a_neighbours_line_finishes_what_ends_within_half_a_tool(tool: float | None, reach: float, turn: float) -> None:
    """Two ends beside a whole outline: by half the tool, or by half of the widest where it isn't known."""
    motion = Motion(math.cos(turn), math.sin(turn), 50.0, 20.0)

    def ends(apart: float, **more: object) -> dict[str, list[str]]:
        items = [box(0, 0, 300, 200), run((50.0, -apart), (50.0, -200.0), (250.0, -200.0), (250.0, -apart))]
        return of_ends(*((chain.moved(motion), *rest) for chain, *rest in items), tool=tool, **more)  # type: ignore[arg-type]

    near_by = reach - 0.01
    assert ends(near_by, **SHARES) == {"shared-end": [f"{near_by:.6g} mm"] * 2}
    assert set(ends(reach + 0.02, **SHARES)) == {"open-contour"}
    assert set(ends(near_by)) == {"open-contour"}, "nothing says that cuts are shared"


def test_the_nearest_line_that_passes_is_the_one_that_is_told() -> None:
    cuts = [box(0, 0, 300, 200), run((20.0, -1.0), (280.0, -1.0)), run((150.0, -2.5), (150.0, -90.0))]
    found = hits(cuts, 6.0, **SHARES)
    assert [h.size for h in found["shared-end"] if h.handle == "3"] == [pytest.approx(1.5)]
    (hit,) = (h for h in found["shared-end"] if h.handle == "3")
    near(hit.at, (150.0, -2.5))


@pytest.mark.parametrize("tool", [6.0, None])
def test_a_gap_is_open_though_parts_share_cuts(tool: float | None) -> None:
    """An end near to nothing but another's end has a gap beside it: nothing passes there to finish it."""
    for gap in (0.5, 2.9):
        for items in (gapped(gap), [run(*[*gapped(gap)[0][0].points, *gapped(gap)[1][0].points[1:]])]):
            assert set(of_ends(*items, tool=tool, **SHARES)) == {"open-contour"}
    # A short cut by itself: both its ends are within reach of each other, at a tool of 25 and more.
    short = run((0.0, 0.0), (0.0, 10.0), (20.0, 10.0), (20.0, 0.0))
    assert set(of_ends(short, tool=tool, **SHARES)) == {"open-contour"}


def test_a_cut_may_come_back_to_its_own_end() -> None:
    """A loop that ends 2 beside its own first side, of a tool of 6: told, at either end, and not at the other."""
    loop = [(0.0, 0.0), (300.0, 0.0), (300.0, 200.0), (100.0, 200.0), (100.0, 2.0)]
    for points in (loop, loop[::-1]):
        found = hits([run(*points)], 6.0, **SHARES)
        (hit,) = found["shared-end"]
        near(hit.at, (100.0, 2.0))
        assert hit.size == pytest.approx(2.0)
        (hit,) = found["open-contour"]
        near(hit.at, (0.0, 0.0))
    # What is bent back within three times that is its own corner, and no line that passes.
    for long, told in ((3.6, 1), (2.2, 0)):
        hook = run((-100.0, 0.0), (0.0, 0.0), (0.0, 2.0), (-long, 2.0))
        assert len(hits([hook], 6.0, **SHARES).get("shared-end", [])) == told, long


def test_three_ends_that_meet_are_told_as_touching_alone() -> None:
    """On a board, where every other end runs off it."""
    board = cut(box(0, 0, 500, 300)[0], "STOCK")
    rays = [run((200.0, 100.0), end) for end in ((-10.0, 100.0), (510.0, 120.0), (200.0, 320.0))]
    found = hits([board, *rays])
    assert set(found) == {"touching"}
    near(found["touching"][0].at, (200.0, 100.0))
    assert kinds([board, rays[0]]) == {"open-contour"}
    assert kinds([board, rays[0], run((200.0, 100.0), (510.0, 100.0))]) == set()
