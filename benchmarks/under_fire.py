"""The program under fire: killed, raced and fed badly, at random and for a while. What must hold is asserted.

Run: python -m benchmarks.under_fire [seconds for each of the three, 40] [seed, by the clock]

The tests put a fault at every single file operation (`tests/test_place.py`, `tests/test_files_and_stock.py`,
`tests/test_disk.py`). Here chance decides, with the disk's own time, and the figures say how often what was tried.
Needs a system that forks.
"""

from __future__ import annotations

import contextlib
import os
import random
import resource
import signal
import sys
import tempfile
import time
import tomllib
from collections import Counter
from pathlib import Path

from cutpath.cli.main import run
from cutpath.faults import OutputRefused
from cutpath.place.record import digest, recorded
from cutpath.place.stage import STAGING
from tests.test_files_and_stock import boards, cut, shown, yard
from tests.test_place import FIRST, SECOND, export, tree, whole

DEMO = Path(__file__).parent.parent / "fixtures" / "orchard-steps.toml"
THIRD = export(parts__long_dxf="long", boards__3_dxf="three" * 20_000, list_csv="L3")


def child(work: object, *arguments: object) -> int:
    """A process that does some work and is gone; its number."""
    pid = os.fork()
    if pid == 0:
        status = 1
        with contextlib.suppress(BaseException):
            work(*arguments)  # type: ignore[operator]
            status = 0
        os._exit(status)
    return pid


def on_and_on(path: Path) -> None:
    """Export after export to one folder, each putting the last one's board back and taking its own."""
    while True:
        for files in (FIRST, SECOND, THIRD):
            cut(path, files)


def killed(top: Path, chance: random.Random, seconds: float) -> str:
    """Kill a run of exports at any moment; then look, then make it good."""
    count, seen = 0, Counter[str]()
    end = time.monotonic() + seconds
    known = {name: {files.get(name) for files in (FIRST, SECOND, THIRD)} for name in {*FIRST, *SECOND, *THIRD}}
    path = yard(top / "killed")
    cut(path)
    while time.monotonic() < end:
        pid = child(on_and_on, path)
        time.sleep(chance.random() * 0.15)
        os.kill(pid, signal.SIGKILL)
        os.waitpid(pid, 0)
        count += 1
        found = shown(path)
        assert all(data is None or data in known[name] for name, data in found.items()), "no file is half written"
        listed = recorded(found.get("result.json") or b"")
        if listed is not None:
            assert listed == {n: digest(d) for n, d in found.items() if d is not None and n != "result.json"}
        assert boards(path) == 2, "the board of whatever is in place is off the list, and no other"
        pending = (path / "out" / STAGING / "journal.json").exists()
        seen["amid moving" if pending else "amid writing" if (path / "out" / STAGING).exists() else "between"] += 1
        if count % 5 == 0:
            cut(path)
            assert tree(path / "out") == whole(SECOND)
            assert {p.name for p in path.iterdir()} == {"out", "rack.toml", "rack.toml.before"}
    return f"{count} kills, {dict(seen)}"


def race(path: Path, name: str, gate: int) -> None:
    """Wait for the start, then export until it is done or the boards are gone."""
    os.read(gate, 1)
    chance = random.Random(name)
    for _ in range(30):
        with contextlib.suppress(OutputRefused):
            cut(path, export(list_csv=name, boards__1_dxf=name), name)
            return
        time.sleep(chance.random() / 50)


def raced(top: Path, seconds: float) -> str:
    """Ten exports at once on a list of three boards, two of them to one folder."""
    count, end = 0, time.monotonic() + seconds
    while time.monotonic() < end:
        path = yard(top / f"raced-{count}")
        gate, start = os.pipe()
        names = ["both", *(f"out-{n}" for n in range(9))]
        crowd = [child(race, path, name, gate) for name in (*names, "both")]
        os.write(start, b"x" * len(crowd))
        assert [os.waitpid(pid, 0)[1] for pid in crowd] == [0] * len(crowd)
        os.close(gate)
        os.close(start)
        count += 1
        folders = {p.name for p in path.iterdir() if p.is_dir()} - {"out"}
        taken = [entry["folder"] for entry in tomllib.loads((path / "rack.toml").read_text())["taken"]]
        # One that is refused thirty times gives up, so that boards may be left.
        assert folders == set(taken) and len(set(taken)) == len(taken), (folders, taken)
        assert taken and boards(path) == 3 - len(taken), (boards(path), taken)
        for name in folders:
            assert tree(path / name) == whole(export(list_csv=name, boards__1_dxf=name))
    return f"{count} races of 11 exports"


PIECES = ["=", "[", "]", "{", "}", '"', "'", "#", "\n", ".", ",", "-", "1e999", "nan", "inf", "0", "-1", "1" * 400]
PIECES += ["true", "2020-01-01", "\x00", "\x1b[2J", "\u202e", "½", "7 1/4", "'", '"""', "\ufeff", "🪚", "[[stock]]"]


def mangled(text: str, chance: random.Random) -> bytes:
    """A job's text with some things in it changed."""
    lines = text.splitlines(keepends=True)
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(lines))
        line = lines[at]
        spot = chance.randrange(len(line) + 1)
        match chance.randrange(6):
            case 0:
                lines[at] = line[:spot] + chance.choice(PIECES) + line[spot:]
            case 1:
                lines[at] = line[:spot] + line[spot + chance.randint(1, 4) :]
            case 2:
                lines.insert(at, chance.choice(lines))
            case 3 if len(lines) > 5:
                del lines[at]
            case 4:
                key, _, value = line.partition("=")
                lines[at] = f"{key}= {chance.choice(PIECES)}\n" if value else line
            case _:
                other = chance.choice(lines).partition("=")[2]
                lines[at] = f"{line.partition('=')[0]}={other}"
    data = bytearray("".join(lines).encode())
    if chance.random() < 0.1:
        data[chance.randrange(len(data))] = chance.randrange(256)
    return bytes(data)


def fed(top: Path, chance: random.Random, seconds: float) -> str:
    """Check mangled jobs; every end is one of the statuses, soon, with clean words."""
    count, ends, slowest = 0, Counter[int](), 0.0
    words, job = top / "words", top / "job.toml"
    text = DEMO.read_text()
    end = time.monotonic() + seconds
    with words.open("w+") as said, contextlib.redirect_stdout(said), contextlib.redirect_stderr(said):
        while time.monotonic() < end:
            job.write_bytes(mangled(text, chance))
            said.seek(0)
            said.truncate()
            start = time.process_time()
            status = run(["check", str(job)])
            slowest = max(slowest, time.process_time() - start)
            count += 1
            ends[status] += 1
            said.flush()
            printed = words.read_text()
            if status not in (0, 1, 2) or "\x1b" in printed or "\u202e" in printed:
                raise AssertionError(f"status {status}: {printed[-400:]!r} of {job.read_bytes()!r}")
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024
    return f"{count} jobs, by status {dict(sorted(ends.items()))}; slowest {slowest:.1f} s, {peak} MB at most"


def main() -> None:
    """Print what was tried, how often, and that it held."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 40.0
    seed = int(sys.argv[2]) if len(sys.argv) > 2 else time.time_ns() % 1_000_000
    chance = random.Random(seed)
    print(f"seed {seed}")
    with tempfile.TemporaryDirectory() as name:
        top = Path(name)
        print("killed:", killed(top, chance, seconds), flush=True)
        print("raced: ", raced(top, seconds), flush=True)
        print("fed:   ", fed(top, chance, seconds), flush=True)


if __name__ == "__main__":
    main()
