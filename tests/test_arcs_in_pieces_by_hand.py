"""Large arcs looked at in pieces: the same pairs as by all of them, in bounded time, and told where there are more."""

from __future__ import annotations

import math
import random
from itertools import pairwise

import ezdxf
import numpy as np
import pytest
import shapely

from cutpath.inspect import near
from cutpath.inspect.beside import beside
from cutpath.inspect.contacts import contacts
from cutpath.inspect.contours import without_empty_arcs
from cutpath.inspect.course import COARSEST_CHORD, Course
from cutpath.inspect.near import pairs_of_owners
from cutpath.inspect.read import seen
from cutpath.inspect.whole import inspect_seen
from cutpath.outline import MOST_CHORDS, Chain, circle, straight
from cutpath.tolerances import ARC_CHORD

SQUARE = straight(((0.0, 0.0), (9.0, 0.0), (9.0, 9.0), (0.0, 9.0)), True)


def test_chords_are_as_many_as_a_chain_is_flattened_to() -> None:
    chains = [
        circle((5.0, 7.0), 3.0),
        SQUARE,
        Chain(((0.0, 0.0), (900.0, 0.0)), (1e6, 0.0), False),
        circle((0, 0), 4e3),
    ]
    course = Course(chains)
    for chord in (ARC_CHORD, 0.05):
        counts = course.chords(chord)
        by_chain = [int(counts[a:b].sum()) for a, b in zip(course.first[:-1], course.first[1:], strict=True)]
        assert by_chain == [len(c.flattened(chord)) - (0 if c.closed else 1) for c in chains]
        assert counts.max() == MOST_CHORDS


def test_chords_grow_coarser_only_as_far_as_it_takes() -> None:
    course = Course([circle((0.0, 0.0), 3.0)] * 10)
    fine = int(course.chords(ARC_CHORD).sum())
    assert course.finest(fine) == ARC_CHORD
    assert course.finest(fine - 1) == 4 * ARC_CHORD
    assert course.finest(0) == COARSEST_CHORD == 0.064
    assert int(course.chords(course.finest(fine // 3)).sum()) <= fine // 3


@pytest.mark.parametrize("bulge", [1e-320, 1e-200, 1e-15, 1e-9, 1e-7, 1e9])
@pytest.mark.parametrize("far", [900.0, 1e9])
@pytest.mark.filterwarnings("error")
def test_an_arc_of_any_bulge_is_looked_at(bulge: float, far: float) -> None:
    doc = ezdxf.new("R2000", units=4)
    ends = [(0, 0, 0, 0, bulge), (far, 0, 0, 0, -bulge), (far, far, 0, 0, 0)]
    doc.modelspace().add_lwpolyline(ends, format="xyseb", dxfattribs={"layer": "CUT"})
    found = inspect_seen(seen("sent.dxf", doc), tool=6.0)
    (item,) = found.seen.items
    assert item.chain is not None
    # What rises by less than two points may be apart is straight, and nothing else is.
    assert all((b != 0) == (far * bulge / 2 >= 1e-9) for b in item.chain.bulges[:2])
    assert "open-contour" in {f.kind for f in found.findings}


def test_what_rises_by_less_than_points_may_be_apart_is_straight() -> None:
    # Over a chord of 4 mm a bulge of b rises by 2 b; the second leads back to the start.
    chain = Chain(((0.0, 0.0), (4.0, 0.0), (4.0, 0.0)), (0.6e-9, 0.5, -0.4e-9), True)
    assert without_empty_arcs(chain) == Chain(chain.points, (0.6e-9, 0.0, 0.0), True)
    kept = Chain(((0.0, 0.0), (4.0, 0.0)), (-0.6e-9, 0.0), False)
    assert without_empty_arcs(kept) is kept


def test_pieces_are_the_segments_themselves_in_their_order() -> None:
    course = Course([circle((0.0, 0.0), 700.0), SQUARE, Chain(((0.0, 0.0), (50.0, 0.0)), (0.3, 0.0), False)])
    lines = course.lines(ARC_CHORD)
    pieces, owner = course.pieces(ARC_CHORD, lines)
    assert list(owner) == sorted(owner) and set(owner) == set(range(len(course)))
    assert shapely.get_num_coordinates(pieces).max() == 33
    for k, line in enumerate(lines):
        own = [shapely.get_coordinates(p) for p in pieces[owner == k]]
        # Each begins where the last one ended.
        assert all((a[-1] == b[0]).all() for a, b in pairwise(own))
        joined = np.concatenate([own[0], *(p[1:] for p in own[1:])])
        assert (joined == shapely.get_coordinates(line)).all()
    straights = Course([SQUARE])
    whole, of = straights.pieces(ARC_CHORD, straights.lines(ARC_CHORD))
    assert len(whole) == 4 and list(of) == [0, 1, 2, 3]


def test_pairs_of_owners_are_those_of_whole_shapes() -> None:
    rng = random.Random(7)
    chains = [circle((rng.uniform(0, 900), rng.uniform(0, 900)), rng.uniform(2, 200)) for _ in range(16)]
    course = Course(chains)
    lines = course.lines(ARC_CHORD)
    pieces, owner = course.pieces(ARC_CHORD, lines)
    i, j, complete = pairs_of_owners(pieces, owner, 4.0, np.ones(len(course)))
    meant = {
        (a, b) for a in range(len(lines)) for b in range(a + 1, len(lines)) if shapely.dwithin(lines[a], lines[b], 4.0)
    }
    assert complete and list(zip(i.tolist(), j.tolist(), strict=True)) == sorted(meant) and len(meant) > 30


def test_pairs_count_for_more_where_they_take_more_time(monkeypatch: pytest.MonkeyPatch) -> None:
    lines = np.array([shapely.LineString([(k, 0), (k, 9)]) for k in range(200)])
    owner, light = np.arange(200), np.ones(200)
    monkeypatch.setattr(near, "MOST_PAIRS", 195)
    assert pairs_of_owners(lines, owner, 1.0, light)[2]
    # One that counts for many does so in each of its two pairs.
    heavy = light.copy()
    heavy[20] = 10.0
    assert not pairs_of_owners(lines, owner, 1.0, heavy)[2]
    monkeypatch.setattr(near, "MOST_PAIRS", 211)
    assert pairs_of_owners(lines, owner, 1.0, heavy)[2]


def rings(count: int, step: float, bulge: float = 1e4) -> ezdxf.document.Drawing:
    """Circles all but closed of 125 bulges' hundredths, one beside another."""
    doc = ezdxf.new("R2000", units=4)
    for k in range(count):
        ends = [(0, k * step, 0, 0, bulge), (0, k * step + 0.5, 0, 0, 0)]
        doc.modelspace().add_lwpolyline(ends, format="xyseb", dxfattribs={"layer": "CUT"})
    return doc


def kinds(doc: ezdxf.document.Drawing, tool: float | None) -> set[str]:
    return {f.kind for f in inspect_seen(seen("sent.dxf", doc), tool=tool).findings}


def test_a_tangle_of_large_circles_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    # Twelve of them make 66 pairs, each of 2,484 chords: for the tree's bound some ten thousand.
    doc = rings(12, 1.0)
    assert "tangled" not in kinds(doc, 6.0)
    monkeypatch.setattr(near, "MOST_PAIRS", 200)
    assert "tangled" in kinds(doc, None)


def test_clean_large_circles_are_no_tangle() -> None:
    doc = ezdxf.new("R2000", units=4)
    for k in range(60):
        doc.modelspace().add_circle((700.0 * (k % 8), 700.0 * (k // 8)), 300.0, dxfattribs={"layer": "CUT"})
    assert kinds(doc, 6.0) == set()


def test_contours_too_near_to_count_are_told(monkeypatch: pytest.MonkeyPatch) -> None:
    doc = ezdxf.new("R2000", units=4)
    for k in range(100):
        x, y = 5.0 * (k % 10), 5.0 * (k // 10)
        square = [(x, y), (x + 3, y), (x + 3, y + 3), (x, y + 3)]
        doc.modelspace().add_lwpolyline(square, close=True, dxfattribs={"layer": "CUT"})
    # Nothing meets; with 6 mm between them squares 2 mm apart are near, those on their diagonals, too: 180 and 162.
    found = inspect_seen(seen("sent.dxf", doc), tool=6.0)
    assert dict(found.counts)["near-contours"] == 342 and "tangled" not in dict(found.counts)
    # A wider tool has more pairs; the squares' own corners are four hundred.
    monkeypatch.setattr(near, "MOST_PAIRS", 450)
    assert {"tangled", "near-contours"} <= kinds(doc, 8.0)
    assert "tangled" not in kinds(doc, None)


def test_contours_of_many_chords_count_for_more(monkeypatch: pytest.MonkeyPatch) -> None:
    # Of a hundred and thirty lines all but the last two are looked at first: a pair with a neighbour each.
    lines = [shapely.LineString([(x, 5.0 * k) for x in range(160)]) for k in range(130)]
    monkeypatch.setattr(near, "MOST_PAIRS", 128 * 160 / 16)
    assert beside(lines, range(130), [0] * 130, 6.0).complete
    monkeypatch.setattr(near, "MOST_PAIRS", 128 * 160 / 16 - 1)
    found = beside(lines, range(130), [0] * 130, 6.0)
    assert not found.complete and len(found.one) == 128
    # Those of fewer count for one.
    few = [shapely.LineString([(0, 5.0 * k), (159, 5.0 * k)]) for k in range(130)]
    monkeypatch.setattr(near, "MOST_PAIRS", 128)
    found = beside(few, range(130), [0] * 130, 6.0)
    assert found.complete and found.gaps == (5.0,) * 129
    assert [y for _, y in found.places] == [5.0 * k for k in range(1, 130)]
    monkeypatch.setattr(near, "MOST_PAIRS", 127)
    assert not beside(few, range(130), [0] * 130, 6.0).complete


@pytest.mark.parametrize(("bulge", "count"), [(0.0, 1), (1.0, 2)], ids=["straights", "arcs"])
def test_segments_of_many_chords_count_for_more(bulge: float, count: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A wave of a hundred and thirty, each of which meets the next; half circles are of 32 chords, two times 16."""
    radius = ARC_CHORD / (1 - math.cos(math.pi / 31.5 / 2))
    points = tuple((2 * radius * k, k % 2 * radius * (not bulge)) for k in range(131))
    wave = Chain(points, (*((-bulge, bulge) * 65), 0.0), False)
    # All but the last two are looked at first.
    for most, complete in ((128 * count, True), (128 * count - 1, False)):
        monkeypatch.setattr(near, "MOST_PAIRS", most)
        assert contacts(Course([wave]), [(1, 1)], [True]).complete == complete


def test_contours_beside_each_other_by_hand() -> None:
    lines = [shapely.LineString([(0, y), (50, y)]) for y in (0.0, 4.0, 40.0, 40.0)]
    # Of four lines the first two are 4 mm apart; the last two lie on each other.
    found = beside(lines, (7, 8, 9, 10), (-1, -1, -1, -1), 6.0)
    assert (found.one, found.other, found.gaps, found.complete) == ((7, 9), (8, 10), (4.0, 0.0), True)
    assert found.places[0][1] == 4.0
    # What lies in another contour is cut by passes of its own; of open cuts that isn't told.
    assert beside(lines, (7, 8, 9, 10), (-1, 3, -1, -1), 6.0).one == (9,)
    assert beside(lines, (7, 8, 9, 10), (-1, -2, -1, -1), 6.0).one == (7, 9)
    assert beside(lines, (7, 8, 9, 10), (-2, -1, -1, -1), 6.0).one == (7, 9)
    assert beside(lines, (7, 8, 9, 10), (2, -3, -1, -1), 6.0).one == (9,)
    # A tool that fits to the hair fits.
    assert beside(lines, (7, 8, 9, 10), (-1, -1, -1, -1), 4.0).one == (9,)
    assert beside(lines, (7, 8, 9, 10), (-1, -1, -1, -1), 4.02).one == (7, 9)
    assert beside(lines, (7, 8, 9, 10), (-1, -1, -1, -1), 0.01).one == beside([], (), (), 6.0).one == ()
    assert math.isclose(beside(lines[:2], (7, 8), (0, 0), 6.0).gaps[0], 4.0)
