"""Plain lengths on boards held against proven optima.

Source: E. Falkenauer, A hybrid grouping genetic algorithm for bin packing, J. of Heuristics 2 (1996) 5-30; the sets t60
(triplets) and u250 (uniform sizes) as ESICUP distributes them (1d/falkenauer/binpack5.txt and binpack2.txt, CC0), kept
whole in `data/`. Each header gives the best count known when published, the proven optimum but for u250_07, u250_12 and
u250_13. A few of each are solved here, `benchmarks/boards.py` solves all.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from cutpath.nest import nest_parts, verify_layout
from tests.test_nest_optimum import plain

DATA = Path(__file__).parent / "data"
#: The optimum where the header's count is not it, proved since (and here by the bound).
CLOSED = {"u250_07": 103, "u250_12": 105, "u250_13": 103}


def instances(name: str) -> Iterator[tuple[str, float, list[float], int]]:
    """Name, capacity, sizes and best known count of each instance.

    The file's format: the number of instances; then for each its name, a line with capacity, number of items and best
    known count, and the items' sizes one a line.
    """
    words = iter((DATA / name).read_text(encoding="ascii").split())
    for _ in range(int(next(words))):
        label, capacity, count, best = next(words), float(next(words)), int(next(words)), int(next(words))
        yield label, capacity, [float(next(words)) for _ in range(count)], best
    assert not list(words), "the whole file was read"


@pytest.mark.parametrize("name", ["falkenauer-t60.txt", "falkenauer-u250.txt"])
def test_the_sets_are_the_published_ones(name: str) -> None:
    """Twenty instances each: 60 items in triplets that fill 20 bins; 250 items of 20 to 100 on bins of 150."""
    found = list(instances(name))
    assert len(found) == 20
    for _, capacity, sizes, best in found:
        if "t60" in name:
            assert (len(sizes), best, sum(sizes)) == (60, 20, pytest.approx(20 * capacity))
        else:
            assert (len(sizes), capacity, min(sizes) >= 20, max(sizes) <= 100) == (250, 150, True, True)


@pytest.mark.slow
@pytest.mark.parametrize("label", ["t60_02", "u250_07"])
def test_an_instance_is_solved_to_the_proven_optimum(label: str) -> None:
    sets = instances(f"falkenauer-{label.split('_')[0]}.txt")
    _, capacity, sizes, best = next(one for one in sets if one[0] == label)
    kinds, stock = plain(sizes, capacity)
    layout = nest_parts(kinds, stock, gap=0.0, end_trim=0.0)
    verify_layout(layout, kinds, 0.0, 0.0, stock)
    assert len(layout.boards) == CLOSED.get(label, best)
    assert layout.bound == layout.value
