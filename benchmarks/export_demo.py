"""Time and peak memory of the demo's whole export as one process, against importing the libraries it stands on.

Run: python benchmarks/export_demo.py [pairs]

Both commands run in turn, so that a machine that slows down slows both; the figures are ratios within one run, pair by
pair, and their median. The aim is at most 1.5 for time and for memory. Nothing is asserted: a busy machine may show
more.
"""

from __future__ import annotations

import os
import shutil
import statistics
import sys
import tempfile
import time
from pathlib import Path

DEMO = Path(__file__).parent.parent / "fixtures" / "orchard-steps.toml"
BARE = [sys.executable, "-c", "import click, numpy, shapely, ezdxf"]


def measured(command: list[str]) -> tuple[float, float]:
    """Wall time in seconds and peak memory in MiB of one process that has to succeed."""
    start = time.perf_counter()
    child = os.posix_spawn(
        command[0], command, os.environ, file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)]
    )
    _, status, usage = os.wait4(child, 0)
    seconds = time.perf_counter() - start
    if status:
        raise SystemExit(f"failed: {' '.join(command)}")
    return seconds, usage.ru_maxrss / 1024


def main() -> None:
    """Print the ratios."""
    pairs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    out = Path(tempfile.mkdtemp()) / "out"
    export = [sys.executable, "-m", "cutpath", "export", str(DEMO), "-o", str(out)]
    times, peaks = [], []
    for i in range(pairs + 1):
        shutil.rmtree(out, ignore_errors=True)
        ours, bare = measured(export), measured(BARE)
        if i:  # the first pair warms the disk's cache
            times.append(ours[0] / bare[0])
            peaks.append(ours[1] / bare[1])
    shutil.rmtree(out.parent)
    for name, ratios in (("time", times), ("peak memory", peaks)):
        low, middle, high = min(ratios), statistics.median(ratios), max(ratios)
        print(f"{name}: {middle:.2f} times the bare imports (from {low:.2f} to {high:.2f} in {pairs} pairs)")


if __name__ == "__main__":
    main()
