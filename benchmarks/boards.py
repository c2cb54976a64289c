"""Many stringers on boards: cost against the area bound and a nest of boxes, time and memory as their number grows.

Run: python benchmarks/boards.py [--counts 10,100,1000,5000] [--instances FOLDER]

The stringers are of 30 kinds (fewer where there are fewer stringers). All counts are nested in one run, each in a
process of its own, and what is printed are ratios: a slower machine slows all of them. The aims: 1,000 stringers within
1% of the bound in under 30 times the time of 100. Nothing is asserted but that the layouts hold.

With a folder of published bin packing sets (option, or CUTPATH_INSTANCES) these are solved too, as plain lengths: E.
Falkenauer, "A hybrid grouping genetic algorithm for bin packing", Journal of Heuristics 2 (1996) 5-30, as
falkenauer-t60.txt and falkenauer-u250.txt in the format of J. E. Beasley's OR-Library.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import subprocess
import sys
import time
from collections import Counter
from pathlib import Path

from msgspec.structs import replace

from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.values import StockBoards, StringerSpec
from cutpath.nest import Layout, PartKind, nest_parts, verify_layout
from cutpath.outline import straight

IN = 25.4
WIDTH = 11.25 * IN
GAP, TRIM = 12.7, 6.35
#: Feet and prices of boards: a yard's usual lengths, longer ones dearer by length (invented).
YARD = ((8, 19.2), (10, 24.6), (12, 30.1), (14, 36.4), (16, 43.0), (20, 57.1))
KINDS = 30


def stringers(count: int, seed: int = 1) -> list[PartKind]:
    """So many stringers of up to 30 stairs, each with its own rise, run and number of risers."""
    draw = random.Random(seed)
    spec = StringerSpec(
        count=1, throat_least=0.0, edges="factory", edge_trim=0.0, sill_notch=None, sill_depth_least=0.0, top_gap=0.0
    )
    kinds: list[PartKind] = []
    for number in range(min(KINDS, count)):
        risers, rise, run = draw.randint(3, 13), draw.uniform(6.5, 7.75) * IN, draw.uniform(10.0, 11.5) * IN
        stair = Stair(risers, rise, run, "one-below", 1.5 * IN, 0.0, IN, IN)
        shape = build_stringer(stair, spec, WIDTH, str).outline()
        kinds.append(PartKind(f"stair {number + 1}", shape, WIDTH, 1, "factory", 0.0))
    more = Counter(draw.randrange(len(kinds)) for _ in range(count - len(kinds)))
    return [replace(kind, count=1 + more[i]) for i, kind in enumerate(kinds)]


def yard() -> list[StockBoards]:
    """As many boards of each usual length as are wanted."""
    return [StockBoards("2x12", 38.1, WIDTH, WIDTH, feet * 304.8, None, price, ()) for feet, price in YARD]


def boxed(kind: PartKind) -> PartKind:
    """The part's box in its place."""
    left, low, right, high = kind.outline.extents()
    return replace(kind, outline=straight(((left, low), (right, low), (right, high), (left, high)), closed=True))


def area_bound(kinds: list[PartKind], stock: list[StockBoards]) -> float:
    """What the parts' area costs at the cheapest board's price by area."""
    area = sum(abs(kind.outline.area()) * kind.count for kind in kinds)
    return min((b.price or 0.0) / (b.length * b.least_width) for b in stock) * area


def timed(kinds: list[PartKind]) -> tuple[Layout, float]:
    """A layout that was verified, and the seconds that the nest alone took."""
    stock = yard()
    start = time.perf_counter()
    layout = nest_parts(kinds, stock, gap=GAP, end_trim=TRIM)
    seconds = time.perf_counter() - start
    verify_layout(layout, kinds, GAP, TRIM, stock)
    return layout, seconds


def one(count: int, boxes: bool) -> None:
    """Nest one count in this process and print the figures as JSON."""
    kinds = stringers(count)
    layout, seconds = timed([boxed(kind) for kind in kinds] if boxes else kinds)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    figures = (seconds, peak, layout.value, layout.bound, area_bound(kinds, yard()), len(layout.boards))
    print(json.dumps(figures))


def apart(count: int, boxes: bool) -> list[float]:
    """The figures of one count, from a process of its own."""
    command = [sys.executable, __file__, "--one", str(count), *(["--boxes"] if boxes else [])]
    done = subprocess.run(command, capture_output=True, text=True, check=True)
    return [float(x) for x in json.loads(done.stdout)]


def growth(counts: list[int]) -> None:
    """Print how cost, time and memory grow."""
    first: list[float] | None = None
    for count in counts:
        seconds, peak, value, bound, area, boards = shaped = apart(count, False)
        boxes = apart(count, True)[2]
        first = first or shaped
        print(
            f"{count:5d} stringers on {boards:.0f} boards: cost {value / bound - 1:.2%} over the bound, "
            f"{value / area:.3f} times the area bound, {value / boxes:.3f} times a nest of boxes; "
            f"time {seconds / first[0]:.1f} and memory {peak / first[1]:.2f} times that of {counts[0]}"
        )


def published(folder: Path) -> None:
    """Solve the published sets as plain lengths."""
    for name in ("falkenauer-t60.txt", "falkenauer-u250.txt"):
        words = iter((folder / name).read_text().split())
        proved = off = 0
        start = time.perf_counter()
        sets = int(next(words))
        for _ in range(sets):
            _, capacity, count, best = next(words), float(next(words)), int(next(words)), int(next(words))
            sizes = Counter(float(next(words)) for _ in range(count))
            kinds = [
                PartKind(
                    str(s),
                    straight(((0.0, 0.0), (s, 0.0), (s, 50.0), (0.0, 50.0)), closed=True),
                    50.0,
                    n,
                    "factory",
                    0.0,
                )
                for s, n in sorted(sizes.items())
            ]
            stock = [StockBoards("lengths", 20.0, 50.0, 50.0, capacity, None, None, ())]
            layout = nest_parts(kinds, stock, gap=0.0, end_trim=0.0)
            verify_layout(layout, kinds, 0.0, 0.0, stock)
            proved += layout.bound == layout.value
            off += len(layout.boards) - best
        print(
            f"{name}: {proved} of {sets} sets proved least, {off:+d} boards against the best known in all "
            f"({time.perf_counter() - start:.1f} s)"
        )


def main() -> None:
    """Nest, and print the ratios."""
    parser = argparse.ArgumentParser()
    parser.add_argument("--counts", default="10,100,1000,5000")
    parser.add_argument("--instances", default=os.environ.get("CUTPATH_INSTANCES"))
    parser.add_argument("--one", type=int, help=argparse.SUPPRESS)
    parser.add_argument("--boxes", action="store_true", help=argparse.SUPPRESS)
    asked = parser.parse_args()
    if asked.one:
        one(asked.one, asked.boxes)
        return
    growth([int(count) for count in asked.counts.split(",")])
    if asked.instances:
        published(Path(asked.instances))


if __name__ == "__main__":
    main()
