"""The sheet nest, as ratios in one run: strips against spyrrow alone and the area bound, sheets against boxes.

Run: CUTPATH_INSTANCES=FOLDER python benchmarks/sheets.py [--strips] [SECONDS] [SEED ...]; --strips: these alone

FOLDER holds albano.json, shapes0.json and jakobs1.json: irregular strip packing instances of ESICUP (Albano and Sapuppo
1980; Oliveira, Gomes and Ferreira 2000; Jakobs 1996) as JSON in `data/input` of the `sparrow` repository (MIT;
A. Gardeyn et al., An open-source heuristic to reboot 2D nesting research, arXiv 2509.13329). Without it only the
stringers are run. Both sides of each comparison have the same seed, one thread and the same time, start of the search's
process and pressing included. Nothing is asserted but that the layouts hold.
"""

from __future__ import annotations

import json
import math
import os
import resource
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import shapely
import spyrrow
from msgspec.structs import replace

from cutpath.cut.relief import cut_part
from cutpath.design.stair import Stair
from cutpath.design.stringer import build_stringer
from cutpath.job.values import StockBoards, StringerSpec
from cutpath.nest.sheets.nest_sheets import nest_sheets
from cutpath.nest.sheets.one_sheet import Clear, Sheet
from cutpath.nest.sheets.press import press
from cutpath.nest.sheets.race import race
from cutpath.nest.sheets.search import Item
from cutpath.nest.sheets.shape import Spot, convex_pieces, covering, shape_of
from cutpath.nest.sheets.verify import verify_sheets
from cutpath.nest.values import PartKind
from cutpath.outline import straight

NAMES = ("albano", "shapes0", "jakobs1")
GAP, TRIM = 12.7, 6.35


def items_of(data: dict[str, Any]) -> list[Item]:
    """The items of an instance."""
    return [
        Item(tuple((x, y) for x, y in i["shape"]["data"]), i["demand"], tuple(i["allowed_orientations"]))
        for i in data["items"]
    ]


def alone(items: list[Item], height: float, seconds: int, seed: int) -> tuple[float, float]:
    """Length that spyrrow comes to by itself as it is set up to be used, and the time it took.

    In a process and session of its own, as our search is: on a busy machine each session has its share of the cores.
    """
    begun = time.perf_counter()
    task = [height, seconds, seed, [[i.points, i.count, i.angles] for i in items]]
    command = [sys.executable, __file__, "--alone"]
    done = subprocess.run(
        command, input=json.dumps(task), capture_output=True, text=True, check=True, start_new_session=True
    )
    return float(done.stdout), time.perf_counter() - begun


def alone_here() -> None:
    """The process of `alone`."""
    height, seconds, seed, items = json.load(sys.stdin)
    made = [
        spyrrow.Item(str(k), [(x, y) for x, y in points], count, angles)
        for k, (points, count, angles) in enumerate(items)
    ]
    config = spyrrow.StripPackingConfig(total_computation_time=seconds, seed=seed, num_workers=1)
    print(spyrrow.StripPackingInstance("strip", height, made).solve(config).width)


def core_seconds() -> float:
    """What processes that have ended, and this one, had of the cores."""
    used = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(u.ru_utime + u.ru_stime for u in used)


def pressed(items: list[Item], height: float, seconds: int, seed: int) -> tuple[float, float]:
    """Length of the search's last layouts pressed together, the best of them, checked; and the time it took."""
    begun = time.perf_counter()
    covers = [covering(straight(item.points, closed=True)) for item in items]
    pieces = [convex_pieces(cover) for cover in covers]
    searched = race(items, height, seconds=seconds - 0.5, seed=seed)
    best = math.inf
    for found in searched.found:
        spots = []
        for k, angle, x, y in found.placed:
            shape = shape_of(k, covers[k], pieces[k], angle)
            spots.append(Spot(shape, x - shape.base.dx, y - shape.base.dy))
        done = press(spots, found.length, height, 0.0, "length")
        if holds(done.spots, height):
            best = min(best, done.extent)
    return best, time.perf_counter() - begun


def holds(spots: tuple[Spot, ...], height: float) -> bool:
    """Whether nothing overlaps or leaves the strip, by shapely."""
    polygons = [shapely.Polygon([(x + s.x, y + s.y) for x, y in s.shape.points]) for s in spots]
    _, low, _, high = shapely.union_all(polygons).bounds
    pairs = zip(*shapely.STRtree(polygons).query(polygons, predicate="intersects"), strict=True)
    over = max((polygons[i].intersection(polygons[j]).area for i, j in pairs if i < j), default=0.0)
    return bool(low >= -1e-6 and high <= height + 1e-6 and over <= 1e-6 * height)


def strips(sets: dict[str, tuple[list[Item], float]], seconds: int, seeds: list[int]) -> None:
    """Sets of items with the height of their strip."""
    ratios = []
    for seed in seeds:
        for name, (items, height) in sets.items():
            bound = sum(shapely.Polygon(i.points).area * i.count for i in items) / height
            before = core_seconds()
            theirs, their_time = alone(items, height, seconds, seed)
            between = core_seconds()
            ours, our_time = pressed(items, height, seconds, seed)
            cores = (core_seconds() - between) / (between - before)
            ratios.append(ours / theirs)
            print(
                f"{name}, seed {seed}: length {ours / theirs:.4f} of spyrrow's alone in {our_time / their_time:.2f} of its "  # noqa: E501
                f"time ({cores:.2f} on the cores); area bound is {bound / ours:.3f} of it ({bound / theirs:.3f} of spyrrow's)",  # noqa: E501
                flush=True,
            )
    print(f"all: length {math.exp(sum(map(math.log, ratios)) / len(ratios)):.4f} of spyrrow's alone, geometric mean")


def open_sets(folder: Path) -> dict[str, tuple[list[Item], float]]:
    """The three open sets."""
    found = {}
    for name in NAMES:
        data = json.loads((folder / f"{name}.json").read_text())
        found[name] = items_of(data), data["strip_height"]
    return found


def stringer_sets() -> dict[str, tuple[list[Item], float]]:
    """Stringers grown by half the gap, on a strip as high as a sheet is wide."""
    sets = {}
    for risers, count, free in (
        ((8,), 20, False),
        ((4, 5), 12, False),
        ((3, 4, 5, 6, 7, 8), 4, False),
        (tuple(range(3, 13)), 2, False),
        ((4, 5), 8, True),
    ):
        items = []
        for n in risers:
            cover = shapely.Polygon(covering(stringer(n).outline))
            grown = cover.buffer(GAP / 2 * 1.02, quad_segs=4).simplify(0.004 * GAP)
            items.append(Item(tuple(grown.exterior.coords)[:-1], count, None if free else (0.0, 180.0)))
        grain = "free grain" if free else "grain along"
        sets[f"{count} each of {', '.join(map(str, risers))} risers, {grain}"] = items, 1220.0 - 2 * TRIM + GAP
    return sets


def stringer(risers: int) -> PartKind:
    """A stringer of 7 1/4 on 10 1/2 inches."""
    stair = Stair(risers, 184.15, 266.7, "one-below", 38.1, 0.0, 25.4, 25.4)
    spec = StringerSpec(3, 127.0, "trimmed", 0.0, None, 76.2, 0.0)
    part = cut_part(build_stringer(stair, spec, 285.75, str), "relieved", 4.7625)
    return PartKind(f"{risers} risers", part.outline, 285.75, 1, "trimmed", 0.0)


def sheets() -> None:
    """Stringers on sheets of 2440 x 1220 mm, the same parts as boxes, and the bound."""
    sheet = StockBoards("panel", 18.0, 1220.0, 1220.0, 2440.0, None, None, (), kind="sheet")
    base = 0.0
    for risers, count in ((8, 10), (8, 30), (8, 60), (4, 12), (5, 24)):
        kind = replace(stringer(risers), count=count)
        x0, y0, x1, y1 = kind.outline.extents()
        box = replace(kind, outline=straight(((0.0, 0.0), (x1 - x0, 0.0), (x1 - x0, y1 - y0), (0.0, y1 - y0)), True))
        begun = time.perf_counter()
        layout = nest_sheets([kind], [sheet], gap=GAP, end_trim=TRIM, seconds=0)
        taken = time.perf_counter() - begun
        verify_sheets(layout, [kind], GAP, TRIM, [sheet])
        boxes = nest_sheets([box], [sheet], gap=GAP, end_trim=TRIM, seconds=0)
        base = base or taken
        print(
            f"{count} stringers of {risers} risers: {len(layout.boards)} sheets, {layout.value / boxes.value:.3f} of a box "  # noqa: E501
            f"nest's, {layout.value / layout.bound:.3f} of the bound, yield {layout.yield_share:.3f}, "
            f"{taken / base:.1f} times the first's time",
            flush=True,
        )


def greedy(kinds: list[PartKind], sheet: StockBoards, each: float) -> tuple[int, float]:
    """Sheets that a plain greedy takes, and its time.

    The largest parts that are left go on the next sheet, as many as a search of so many seconds gets on it, by halves.
    """
    begun = time.perf_counter()
    clear = Clear(sheet.length - 2 * TRIM, sheet.least_width, False)
    packer = Sheet(kinds, clear, GAP, 1)
    room = (clear.length + GAP) * (clear.width + GAP)
    order = sorted((k for k, kind in enumerate(kinds) for _ in range(kind.count)), key=lambda k: -packer.areas[k])
    used = 0
    while order:
        low = 1
        high = max(n for n in range(1, len(order) + 1) if sum(packer.areas[k] for k in order[:n]) <= room)
        while low < high:
            middle = (low + high + 1) // 2
            counts = tuple(order[:middle].count(k) for k in range(len(kinds)))
            found = packer.better(counts, each, clear.length).spots
            low, high = (low, middle - 1) if found is None else (middle, high)
        order, used = order[low:], used + 1
    return used, time.perf_counter() - begun


def many_kinds(each: float = 1.0) -> None:
    """Stringers of several kinds: the plain greedy over the search, and the nest with the same seconds."""
    sheet = StockBoards("panel", 18.0, 1220.0, 1220.0, 2440.0, None, None, (), kind="sheet")
    for risers, count in (((3, 4, 5, 6, 7, 8), 12), ((4, 5, 6, 7), 10), ((4, 5), 10)):
        kinds = [replace(stringer(n), count=count) for n in risers]
        theirs, seconds = greedy(kinds, sheet, each)
        plain = nest_sheets(kinds, [sheet], gap=GAP, end_trim=TRIM, seconds=0)
        layout = nest_sheets(kinds, [sheet], gap=GAP, end_trim=TRIM, seconds=seconds)
        verify_sheets(layout, kinds, GAP, TRIM, [sheet])
        bound = round(layout.bound / (sheet.length * sheet.least_width))
        print(
            f"{count} each of {', '.join(map(str, risers))} risers: {len(layout.boards)} sheets, a plain greedy {theirs}, "  # noqa: E501
            f"without a search {len(plain.boards)}, bound {bound}; {seconds:.0f} seconds",
            flush=True,
        )


def main() -> None:
    """Print the ratios."""
    if sys.argv[1:] == ["--alone"]:
        alone_here()
        return
    only = "--strips" in sys.argv
    numbers = [int(word) for word in sys.argv[1:] if word != "--strips"]
    seconds, seeds = (numbers or [20])[0], numbers[1:] or [1, 2, 3]
    if not only:
        sheets()
        many_kinds()
    strips(stringer_sets(), seconds, seeds)
    folder = os.environ.get("CUTPATH_INSTANCES")
    if folder is None:
        print("CUTPATH_INSTANCES names no folder: the open sets are left out")
        return
    strips(open_sets(Path(folder)), seconds, seeds)


if __name__ == "__main__":
    main()
