"""Coverage-guided fuzzing of what reads a stranger's bytes: lengths, jobs, stock lists and rule sets, and DXF files.

Run: python -m benchmarks.fuzz length|job|lists|dxf|against [libFuzzer's options: -max_total_time=60] [files to try]

`.ci/fuzz` makes an environment with atheris (Apache-2.0), whose wheels there are for some systems alone, and shares a
minute out. Whatever the bytes, there is a value or one plain line; what was read as a length or a job reads back as the
very same; what `repair` writes of a file reads back, and is sound.
"""

from __future__ import annotations

import json
import random
import sys
import tempfile
import warnings
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import atheris

# Of ezdxf, what takes a file apart; its geometry and its drawing add nothing but time.
with atheris.instrument_imports(
    include=["cutpath", "ezdxf.lldxf", "ezdxf.sections", "ezdxf.recover", "ezdxf.document"]
):
    import cutpath.inspect.blocks
    import cutpath.inspect.read
    import cutpath.inspect.repair.whole
    from cutpath.faults import Fault, JobFaults
    from cutpath.inspect.load import NotReadable
    from cutpath.inspect.read import read
    from cutpath.inspect.repair.values import Allowed
    from cutpath.inspect.repair.whole import repair
    from cutpath.inspect.whole import inspect_against, inspect_seen
    from cutpath.job.read import job_from_text, job_of
    from cutpath.pictures.inspected import inspected_svg
    from cutpath.report.inspect import inspect_text, repaired_text
    from cutpath.rules.load import load_rules
    from cutpath.screen import is_unseen
    from cutpath.stockfile.read import read_stock
    from cutpath.tables.inspected import inspected_data, repaired_data
    from cutpath.units import Unit, parse_length, show, shown_in, written

from benchmarks.fuzz_seeds import DXF, LENGTHS, TRICKY, cut_files, held_jobs, jobs, lists

# Files at the bounds of size take many seconds, which is measured elsewhere; here they would only take time.
cutpath.inspect.read.MOST_ENTITIES = cutpath.inspect.repair.whole.MOST_ENTITIES = 4_000  # type: ignore[misc]
cutpath.inspect.blocks.MOST_VERTICES, cutpath.inspect.read.MOST_CHORDS = 20_000, 200_000  # type: ignore[misc]

# What numpy and shapely warn of would stand among what a user reads.
warnings.simplefilter("error", RuntimeWarning)

ROOT = Path(__file__).parent.parent
KEEP = ROOT / ".cache" / "fuzz"
ROOM = Path(tempfile.mkdtemp(prefix="cutpath-fuzz-"))


def plain(line: str) -> None:
    """A line that a terminal shows as it is."""
    assert line and not any(map(is_unseen, line)) and len(line) < 2000, line


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


def stock_and_rules(data: bytes) -> None:
    """Any file is a stock list or not, and a rule set or not; whichever, in plain lines."""
    path = ROOM / "list.toml"
    path.write_bytes(data)
    try:
        read_stock(path)
    except JobFaults as faults:
        assert faults.lines
        for line in faults.lines:
            assert line.isprintable(), line
    except Fault as why:
        plain(str(why))
    try:
        load_rules(path)
    except Fault as why:
        plain(str(why))


def dxf(data: bytes) -> None:
    """Any file is inspected in words, JSON and a picture, and mended into one that reads back; or gets a plain line."""
    path, mended = ROOM / "sent.dxf", ROOM / "mended.dxf"
    path.write_bytes(data)
    try:
        found = inspect_seen(read(path), tool=6.0)
    except NotReadable as why:
        plain(str(why))
        return
    assert not any(map(is_unseen, inspect_text(found).replace("\n", "")))
    json.dumps(inspected_data(found), allow_nan=False).encode()
    ElementTree.fromstring(inspected_svg(found).encode("utf-8", "replace"))
    try:
        repaired = repair(path, Allowed())
    except Fault as why:
        plain(str(why))
        return
    if repaired.data is not None:
        mended.write_bytes(repaired.data)
    left = inspect_seen(read(mended if repaired.data is not None else path))
    assert repaired.data is None or not left.seen.flaws, left.seen.flaws
    repaired_text(repaired, left, "mended.dxf")
    json.dumps(repaired_data(repaired, left, "mended.dxf"), allow_nan=False)


def against(data: bytes) -> None:
    """Any file is held against a job in words, JSON and a picture, or gets a plain line."""
    path = ROOM / "sent.dxf"
    path.write_bytes(data)
    try:
        seen = read(path)
    except NotReadable as why:
        plain(str(why))
        return
    for job in held_jobs():
        found = inspect_against(seen, job, shown_in(job.plan.job.units))
        assert not any(map(is_unseen, inspect_text(found).replace("\n", "")))
        json.dumps(inspected_data(found), allow_nan=False).encode()
        ElementTree.fromstring(inspected_svg(found).encode("utf-8", "replace"))


def mutated(data: bytes, most: int, seed: int) -> bytes:
    """A DXF changed tag by tag, or now and then byte by byte, so that most of what comes of it is still a DXF."""
    rng = random.Random(seed)
    lines = data.decode("latin-1").split("\n")
    if rng.random() < 0.15 or len(lines) < 4:
        changed: bytes = atheris.Mutate(data, most)
        return changed
    tags = [[code, value] for code, value in zip(lines[::2], lines[1::2], strict=False)]
    for _ in range(rng.choice((1, 1, 2, 4))):
        k = rng.randrange(len(tags))
        match rng.randrange(7):
            case 0:
                del tags[k : k + rng.randint(1, 6)]
            case 1:
                start = rng.randrange(len(tags))
                tags[k:k] = [list(tag) for tag in tags[start : start + rng.randint(1, 24)]]
            case 2:
                tags[k][0] = str(rng.choice((0, 1, 2, 5, 8, 10, 20, 11, 40, 41, 42, 50, 60, 62, 67, 70, 90, 210, 330)))
            case 3:
                tags[k][1] = rng.choice(tags)[1]
            case 4:
                tags[k][1] = repr(rng.choice((-1, 1)) * 10 ** rng.uniform(-12, 12))
            case _:
                tags[k][1] = rng.choice(TRICKY)
        if not tags:
            break
    return "\n".join(line for tag in tags for line in tag).encode("latin-1", "replace")[:most]


TARGETS: dict[str, tuple[Callable[[bytes], None], Callable[[], list[bytes]]]] = {
    "length": (length, lambda: [text.encode() for text in LENGTHS]),
    "job": (job, jobs),
    "lists": (stock_and_rules, lists),
    "dxf": (dxf, lambda: list(DXF)),
    "against": (against, cut_files),
}


def main() -> None:
    """Fuzz one of them, from a corpus of good ones."""
    wanted, *options = sys.argv[1:]
    run, seeds = TARGETS[wanted]
    if all(each.startswith("-") for each in options):
        corpus = KEEP / wanted
        corpus.mkdir(parents=True, exist_ok=True)
        for number, seed in enumerate(seeds()):
            (corpus / f"seed-{number}").write_bytes(seed)
        options.append(str(corpus))
    more = {"custom_mutator": mutated} if wanted in ("dxf", "against") else {}
    atheris.Setup([sys.argv[0], *options], run, **more)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
