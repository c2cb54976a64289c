"""Time and peak memory of the demo's whole export as one process, against a script that writes the same cut files.

Run: python benchmarks/export_demo.py [pairs]

The floor is one script that imports the four libraries that no such program does without (click, numpy, shapely, ezdxf)
and has ezdxf write the same entities to as many files, with nothing thought, checked, read back, drawn or listed. Both
run in turn, so that a machine that slows down slows both; the figures are ratios within one run, pair by pair, and
their median, in seconds on the clock and of the processor: for the demo as it is, and for its stringers alone, without
treads, riser boards and rail, whose lists, drawings and nest of lumber write next to no cut files. The aim is at most
1.5 for time and for memory. Nothing is asserted: a busy machine may show more. Python keeps what it compiled of both,
as it does of anything that is installed.
"""

from __future__ import annotations

import json
import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

DEMO = Path(__file__).parent.parent / "fixtures" / "orchard-steps.toml"

#: Takes a JSON file of entities and a folder to write to.
FLOOR = """
import sys
import click, numpy, shapely, ezdxf
import json
from pathlib import Path

data, out = json.loads(Path(sys.argv[1]).read_text()), Path(sys.argv[2])
for path, (version, units, layers, circles, chains, notes) in data.items():
    document = ezdxf.new(version, units=units)
    for layer in layers:
        document.layers.add(layer)
    model = document.modelspace()
    for layer, centre, radius in circles:
        model.add_circle(centre, radius, dxfattribs={"layer": layer})
    for layer, points, closed in chains:
        model.add_lwpolyline(points, format="xyb", close=closed, dxfattribs={"layer": layer})
    for layer, at, height, text in notes:
        model.add_text(text, height=height, dxfattribs={"layer": layer}).dxf.insert = at
    (out / path).parent.mkdir(parents=True, exist_ok=True)
    document.saveas(out / path)
"""


def entities(folder: Path) -> dict[str, Any]:
    """What the cut files in a folder hold, by path, as the floor's script takes it."""
    import ezdxf

    found = {}
    for path in sorted(folder.rglob("*.dxf")):
        document = ezdxf.readfile(path)  # type: ignore[attr-defined]
        model = document.modelspace()
        layers = [e.dxf.name for e in document.layers if e.dxf.name not in ("0", "Defpoints")]
        circles = [(e.dxf.layer, tuple(e.dxf.center)[:2], e.dxf.radius) for e in model.query("CIRCLE")]
        chains = [(e.dxf.layer, [tuple(p) for p in e.get_points("xyb")], e.closed) for e in model.query("LWPOLYLINE")]
        notes = [(e.dxf.layer, tuple(e.dxf.insert)[:2], e.dxf.height, e.dxf.text) for e in model.query("TEXT")]
        held = (document.acad_release, document.units, layers, circles, chains, notes)
        if len(circles) + len(chains) + len(notes) != len(model):
            raise SystemExit(f"{path}: holds what the floor's script doesn't write")
        found[str(path.relative_to(folder))] = held
    return found


def measured(command: list[str]) -> tuple[float, float, float]:
    """Wall and processor time in seconds, and peak memory in MiB, of one process that has to succeed."""
    # Libraries were compiled as they were installed; a folder of sources would be compiled at every start.
    environment = {key: value for key, value in os.environ.items() if key != "PYTHONDONTWRITEBYTECODE"}
    start = time.perf_counter()
    child = os.posix_spawn(
        command[0], command, environment, file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    )
    _, status, usage = os.wait4(child, 0)
    seconds = time.perf_counter() - start
    if status:
        raise SystemExit(f"failed: {' '.join(command)}")
    return seconds, usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024


def stringers_alone() -> str:
    """The demo's text without the tables of its other pieces."""
    import tomlkit

    job = tomlkit.parse(DEMO.read_text(encoding="utf-8"))
    for table in ("treads", "riser_boards", "rail", "lumber", "saw"):
        job.pop(table, None)
    return tomlkit.dumps(job)


def main() -> None:
    """Print the ratios."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    root = Path(tempfile.mkdtemp())
    alone = root / DEMO.name
    alone.write_text(stringers_alone(), encoding="utf-8")
    for what, job in (("the demo", DEMO), ("its stringers alone", alone)):
        print(f"{what}:")
        compare(job, root, pairs)
    shutil.rmtree(root)


def compare(job: Path, root: Path, pairs: int) -> None:
    """Print one job's ratios."""
    out, held = root / "out", root / "entities.json"
    shutil.rmtree(out, ignore_errors=True)
    export = [sys.executable, "-m", "cutpath", "export", str(job), "-o", str(out)]
    floor = [sys.executable, "-c", FLOOR, str(held), str(root / "floor")]
    measured(export)  # warms the disk's cache, and has our modules compiled
    # In a process of its own, since a child's peak memory starts from what its parent has loaded.
    child = os.fork()
    if not child:
        held.write_text(json.dumps(entities(out)), encoding="utf-8")
        os._exit(0)
    if os.waitpid(child, 0)[1]:
        raise SystemExit("the demo's cut files could not be read")
    pairs_of: list[tuple[tuple[float, float, float], tuple[float, float, float]]] = []
    for _ in range(pairs):
        shutil.rmtree(out)
        shutil.rmtree(root / "floor", ignore_errors=True)
        pairs_of.append((measured(export), measured(floor)))
    for i, name in enumerate(("time", "processor time", "peak memory")):
        ratios = [ours[i] / bare[i] for ours, bare in pairs_of]
        low, middle, high = min(ratios), statistics.median(ratios), max(ratios)
        ours_at, floor_at = (statistics.median(each[i] for each in column) for column in zip(*pairs_of, strict=True))
        print(
            f"  {name}: {middle:.2f} times the floor's (from {low:.2f} to {high:.2f} in {pairs} pairs); "
            f"{ours_at:.3g} and {floor_at:.3g} {'MiB' if name == 'peak memory' else 's'} (medians)"
        )


if __name__ == "__main__":
    main()
