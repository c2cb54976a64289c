"""Many kinds of parts on boards: boards against first fit decreasing and the bound, time and memory.

Run: python benchmarks/many_kinds.py [NAME ...]

Each set is nested in a process of its own. `triplets` and `quads` are boards of 1000 cut up into three or four without
waste, so that their fewest boards are known; `lengths` are 200 of 1 to 350 in 1000; the others are stringers of so many
stairs on boards of 20 ft, one of each stair or as many as the name says. Nothing is asserted but that the layouts hold.
"""

from __future__ import annotations

import random
import resource
import subprocess
import sys
import time
from collections import Counter

from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.values import StockBoards, StringerSpec
from cutpath.nest import PartKind, nest_parts, verify_layout
from cutpath.outline import straight

SETS = ("lengths", "triplets", "quads", "18", "60", "80", "40x40")
FEET_20, WIDTH = 20 * 304.8, 285.75


def plain(sizes: list[int]) -> list[PartKind]:
    """Lengths, cut end to end."""
    return [
        PartKind(
            str(s),
            straight(((0.0, 0.0), (s, 0.0), (s, 50.0), (0.0, 50.0)), closed=True),
            50.0,
            n,
            "factory",
            0.0,
        )
        for s, n in sorted(Counter(sizes).items())
    ]


def cut_up(parts: int, boards: int, draw: random.Random) -> list[int]:
    """Boards of 1000 cut into so many parts each."""
    sizes: list[int] = []
    while len(sizes) < parts * boards:
        first = draw.randint(380, 490)
        some = (
            [first, draw.randint(252, (1000 - first) // 2)] if parts == 3 else [draw.randint(150, 350) for _ in "abc"]
        )
        if parts == 3 or 150 <= 1000 - sum(some) <= 350:
            sizes += [*some, 1000 - sum(some)]
    return sizes


def first_fit(sizes: list[int]) -> int:
    """Boards that first fit decreasing takes."""
    left: list[int] = []
    for size in sorted(sizes, reverse=True):
        place = next((i for i, room in enumerate(left) if room >= size), None)
        if place is None:
            left.append(1000 - size)
        else:
            left[place] -= size
    return len(left)


def stringers(kinds: int, each: int, draw: random.Random) -> list[PartKind]:
    """Stringers of two to four risers."""
    spec = StringerSpec(
        count=1, throat_least=0.0, edges="factory", edge_trim=0.0, sill_notch=None, sill_depth_least=0.0, top_gap=0.0
    )
    made = []
    for number in range(kinds):
        stair = Stair(
            draw.randint(2, 4), draw.uniform(165, 196), draw.uniform(254, 292), "one-below", 38.1, 0.0, 25.4, 25.4
        )
        shape = build_stringer(stair, spec, WIDTH, str).outline()
        made.append(PartKind(f"stair {number + 1}", shape, WIDTH, each, "factory", 0.0))
    return made


def one(name: str, seed: int) -> None:
    """Nest one set and print its figures."""
    draw = random.Random(seed)
    sizes: list[int] = []
    if name == "lengths":
        sizes = [draw.randint(1, 350) for _ in range(200)]
    elif name in ("triplets", "quads"):
        sizes = cut_up(3, 40, draw) if name == "triplets" else cut_up(4, 20, draw)
    if sizes:
        kinds, gap, trim = plain(sizes), 0.0, 0.0
        stock = [StockBoards("lengths", 20.0, 50.0, 50.0, 1000.0, None, None, ())]
    else:
        count, _, each = name.partition("x")
        kinds, gap, trim = stringers(int(count), int(each or 1), draw), 12.7, 6.35
        stock = [StockBoards("2x12", 38.1, WIDTH, WIDTH, FEET_20, None, None, ())]
    begun = time.perf_counter()
    layout = nest_parts(kinds, stock, gap=gap, end_trim=trim)
    seconds = time.perf_counter() - begun
    verify_layout(layout, kinds, gap, trim, stock)
    least = round(layout.bound / stock[0].length)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    plainly = f", first fit {first_fit(sizes)}" if sizes else ""
    print(
        f"{name}, seed {seed}: {len(layout.boards)} boards, bound {least}{plainly}; {seconds:.1f} s, {peak:.0f} MB",
        flush=True,
    )


def main() -> None:
    """Nest each set in a process of its own."""
    if sys.argv[1:2] == ["--one"]:
        one(sys.argv[2], int(sys.argv[3]))
        return
    for name in sys.argv[1:] or SETS:
        for seed in (1, 2, 3) if name in ("lengths", "triplets", "quads") else (1,):
            subprocess.run([sys.executable, __file__, "--one", name, str(seed)], check=True)


if __name__ == "__main__":
    main()
