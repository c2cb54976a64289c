"""Time of the simulated cut, as a ratio to one shapely buffer of the same path, and its growth with risers and parts.

Run: python benchmarks/simulated_cut.py

All figures are ratios within one run, best of several; nothing is asserted.
"""

from __future__ import annotations

import time
from collections.abc import Callable

import shapely

from cutpath.cut.paths import cut_path
from cutpath.cut.relief import CutPart, behind, cut_part
from cutpath.cut.simulate.compare import compare, leave
from cutpath.cut.simulate.meant import Meant
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.values import Cutter, StringerSpec
from cutpath.outline import shift

CUTTER = Cutter("router", 9.525, "relieved", "centre", 12.7)
WIDTH = 285.75


def part_of(risers: int) -> CutPart:
    """A stringer of 7 1/4 on 10 1/2 inches."""
    stair = Stair(risers, 184.15, 266.7, "one-below", 38.1, 0.0, 25.4, 25.4)
    spec = StringerSpec(3, 127.0, "factory", 0.0, None, 76.2, 0.0)
    return cut_part(build_stringer(stair, spec, WIDTH, str), "relieved", CUTTER.radius)


def best(run: Callable[[], object], times: int = 5) -> float:
    """Shortest of several runs, seconds."""
    seconds = []
    for _ in range(times):
        start = time.perf_counter()
        run()
        seconds.append(time.perf_counter() - start)
    return min(seconds)


def simulated(part: CutPart, count: int = 1) -> None:
    """Cut `count` parts end to end out of one board, and hold each against its design."""
    length = part.outline.extents()[2] + 20
    meant = Meant(
        part.outline,
        kept=frozenset({0}),
        corners=tuple(n.corner for n in part.notches),
        behind=(behind(part.outline, part.roles),),
    )
    path = cut_path(part, CUTTER, 0.0)
    board = shapely.box(-20, 0, count * length + 20, WIDTH)
    pieces = leave(board, [path.moved(shift(i * length, 0)) for i in range(count)], CUTTER.width)
    for i in range(count):
        assert compare(board, pieces, CUTTER.width, meant.moved(shift(i * length, 0))).ok


def main() -> None:
    """Print the ratios."""
    part = part_of(20)
    line = cut_path(part, CUTTER, 0.0).line()
    once = best(lambda: simulated(part))
    buffered = best(lambda: line.buffer(CUTTER.radius, quad_segs=64))
    print(f"20 risers: cut and compared in {once / buffered:.1f} times one buffer of the same path (quad_segs 64)")
    base = best(lambda: simulated(part_of(10)), 3)
    for risers in (20, 40, 80):
        print(f"{risers} risers: {best(lambda r=risers: simulated(part_of(r)), 3) / base:.1f} times 10 risers")
    one = best(lambda: simulated(part_of(8)), 3)
    for count in (10, 50, 200):
        ratio = best(lambda c=count: simulated(part_of(8), c), 1) / one
        print(f"{count} stringers of 8 risers: {ratio:.1f} times one, {ratio / count:.2f} a stringer")


if __name__ == "__main__":
    main()
