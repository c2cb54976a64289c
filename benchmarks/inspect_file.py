"""How long inspecting a file takes beside ezdxf's own reading of it, as the number of entities grows.

Run: python benchmarks/inspect_file.py [--counts 12500,25000,50000,100000]

The files hold squares of four lines each, on a grid; nothing is wrong with them but their size. Each is read by ezdxf
alone, and inspected whole, in processes of their own; what is printed are ratios of processor time: a slower machine
slows both. The aims: 100,000 entities in at most twice ezdxf's own reading, and in near linear time. Nothing is
asserted.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import ezdxf

READ = "import ezdxf, sys; ezdxf.readfile(sys.argv[1])"
LOOK = "import sys; from cutpath.__main__ import run; sys.argv = ['cutpath', 'inspect', sys.argv[1]]; sys.exit(run())"


def squares(path: Path, count: int) -> None:
    """Write a file of so many lines."""
    doc = ezdxf.new("R2000", units=1)
    doc.header["$MEASUREMENT"] = 0
    add = doc.modelspace().add_line
    wide = max(1, int((count / 4) ** 0.5))
    for k in range(count // 4):
        x, y = 4.0 * (k % wide), 4.0 * (k // wide)
        corners = [(x, y), (x + 3, y), (x + 3, y + 3), (x, y + 3)]
        for a, b in zip(corners, [*corners[1:], corners[0]], strict=True):
            add(a, b, dxfattribs={"layer": "CUT"})
    doc.saveas(path)


def processor_time(code: str, path: Path) -> tuple[float, float]:
    """Seconds of processor time, and megabytes at the most, of a process."""
    process = subprocess.Popen([sys.executable, "-c", code, str(path)], stdout=subprocess.DEVNULL)
    _, _, used = os.wait4(process.pid, 0)
    return used.ru_utime + used.ru_stime, used.ru_maxrss / 1024


def main() -> None:
    """Print a line a count."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--counts", default="12500,25000,50000,100000")
    with tempfile.TemporaryDirectory() as folder:
        before = None
        for count in map(int, parser.parse_args().counts.split(",")):
            path = Path(folder) / f"{count}.dxf"
            squares(path, count)
            read, _ = processor_time(READ, path)
            look, memory = processor_time(LOOK, path)
            grown = f", {look / before[1]:.2f} times {before[0]:,}'s" if before else ""
            print(f"{count:,} entities: {look / read:.2f} times ezdxf's reading ({look:.1f} s), {memory:.0f} MB{grown}")
            before = (count, look)


if __name__ == "__main__":
    main()
