"""Coverage-guided fuzzing of what reads a stranger's text: the length parser and the job reader.

Run: python -m benchmarks.fuzz length|job [libFuzzer's options, as -max_total_time=60] [a folder to keep what was found]

`.ci/fuzz` makes an environment with atheris (Apache-2.0), whose wheels there are for some systems alone, and gives each
half a minute. Whatever the bytes, there is a value or one plain line, and what was read reads back as the very same.
"""

from __future__ import annotations

import sys
from pathlib import Path

import atheris

with atheris.instrument_imports(include=["cutpath"]):
    from cutpath.faults import JobFaults
    from cutpath.job.read import job_from_text, job_of
    from cutpath.units import Unit, parse_length, show, written

ROOT = Path(__file__).parent.parent
LENGTHS = ("10 1/2", "3' 4 1/2\"", "190 mm", "7½", "-0.25", "1 m", "2 ft. 3 in.", "5-3/4", "¼", "1e9", "8/0", "١")
KEEP = ROOT / ".cache" / "fuzz"


def plain(line: str) -> None:
    """A line that a terminal shows as it is."""
    assert line and line.isprintable() and len(line) < 2000, line


def length(data: bytes) -> None:
    """Any text is a length, exactly and in both units, or a fault in one line."""
    text = data.decode("utf-8", "replace")
    for unit in ("in", "mm"):
        kind: Unit = "in" if unit == "in" else "mm"
        try:
            found = parse_length(text, kind)
        except ValueError as why:
            plain(str(why))
            continue
        if abs(found) < 10**9:
            assert show(found, kind)
            assert abs(parse_length(written(found, kind), kind) - found) < 1e-7


def job(data: bytes) -> None:
    """Any text is a job, whose values give the same one again, or faults in a line each."""
    try:
        read = job_from_text(data.decode("utf-8", "replace"))
    except JobFaults as faults:
        assert faults.lines
        for line in faults.lines:
            assert line.isprintable(), line
        return
    assert job_of(read.values) == read


def main() -> None:
    """Fuzz one of the two, from a corpus of good ones."""
    wanted, *options = sys.argv[1:]
    corpus = KEEP / wanted
    corpus.mkdir(parents=True, exist_ok=True)
    if wanted == "length":
        seeds = [text.encode() for text in LENGTHS]
    else:
        seeds = [path.read_bytes() for path in sorted((ROOT / "fixtures").glob("*.toml"))]
        seeds += [b"[site]\ntotal_rise = 40\n", b'units = "mm"\n[[as_cut]]\nmark = "tip 1"\nalong = "3 in"\n']
    for number, seed in enumerate(seeds):
        (corpus / f"seed-{number}").write_bytes(seed)
    atheris.Setup([sys.argv[0], *options, str(corpus)], {"length": length, "job": job}[wanted])
    atheris.Fuzz()


if __name__ == "__main__":
    main()
