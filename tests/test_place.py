"""Putting files in place: all or none, never over another's, whatever breaks off and wherever."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import io
import json
import os
import stat
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import pytest

from cutpath.disk import release, take
from cutpath.faults import OutputRefused
from cutpath.place import stage
from cutpath.place.place import place
from cutpath.place.stage import STAGING, recover
from tests.killed import GONE, killed, killing


def export(**content: str) -> dict[str, bytes]:
    """Files with the record that lists them; a path's slash is written `__`, its dot `_`."""
    files = {k.replace("__", "/").replace("_", "."): v.encode() for k, v in content.items()}
    listed = [{"path": p, "sha256": hashlib.sha256(d).hexdigest()} for p, d in files.items()]
    record = {"schema_version": 1, "written_by": "cutpath", "files": listed}
    return {**files, "result.json": json.dumps(record).encode()}


FIRST = export(parts__long_dxf="long", parts__short_dxf="short", boards__1_dxf="one", boards__2_dxf="two", list_csv="l")
# One file stays as it is, one changes, some go, some come, with their folders.
SECOND = export(parts__long_dxf="long", boards__1_dxf="ONE", more__deep__x_dxf="x", list_csv="L")
NO_CUTS = export()

Tree = dict[str, bytes | None]


def tree(folder: Path) -> Tree:
    """Every file with its content, every folder as None."""
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() if p.is_file() and not p.is_symlink() else None
        for p in folder.rglob("*")
    }


def whole(files: Mapping[str, bytes]) -> Tree:
    folders = {"/".join(p.split("/")[:k]) for p in files for k in range(1, p.count("/") + 1)}
    return {**files, **dict.fromkeys(folders)}


def refused(folder: Path, files: Mapping[str, bytes], *, force: bool = False) -> str:
    """The one line of a refusal, having looked that nothing changed."""
    before = tree(folder) if folder.is_dir() else None
    with pytest.raises(OutputRefused) as caught:
        place(folder, files, force=force)
    assert (tree(folder) if folder.is_dir() else None) == before
    (line,) = caught.value.lines
    return line


def test_a_missing_folder_is_made_with_those_above_it(tmp_path: Path) -> None:
    place(tmp_path / "a" / "b", FIRST, force=False)
    assert tree(tmp_path / "a" / "b") == whole(FIRST)
    assert stat.S_IMODE((tmp_path / "a" / "b" / "result.json").stat().st_mode) & 0o400


def test_an_empty_folder_is_taken(tmp_path: Path) -> None:
    place(tmp_path, FIRST, force=False)
    assert tree(tmp_path) == whole(FIRST)


def test_the_last_export_is_replaced_and_what_it_alone_had_removed(tmp_path: Path) -> None:
    place(tmp_path, FIRST, force=False)
    inode = tmp_path.stat().st_ino
    place(tmp_path, SECOND, force=False)
    assert tree(tmp_path) == whole(SECOND)
    place(tmp_path, NO_CUTS, force=False)
    assert tree(tmp_path) == whole(NO_CUTS)
    place(tmp_path, FIRST, force=False)
    assert tree(tmp_path) == whole(FIRST)
    assert tmp_path.stat().st_ino == inode, "a shell that stands in the folder still does"


def test_the_very_same_files_are_left_alone(tmp_path: Path) -> None:
    assert place(tmp_path, FIRST, force=False)

    def times() -> dict[str, int]:
        return {str(p): p.stat().st_mtime_ns for p in tmp_path.rglob("*")}

    before = times()
    assert not place(tmp_path, FIRST, force=False)
    assert times() == before
    (tmp_path / "list.csv").unlink()
    assert place(tmp_path, FIRST, force=False)
    assert tree(tmp_path) == whole(FIRST)
    (tmp_path / "list.csv").write_text("mine")
    refused(tmp_path, FIRST)


def test_a_file_that_was_taken_away_is_no_trouble(tmp_path: Path) -> None:
    place(tmp_path, FIRST, force=False)
    (tmp_path / "boards" / "1.dxf").unlink()
    place(tmp_path, SECOND, force=False)
    assert tree(tmp_path) == whole(SECOND)


def test_foreign_files_are_named_and_kept(tmp_path: Path) -> None:
    (tmp_path / "notes.txt").write_text("mine")
    line = refused(tmp_path, FIRST)
    assert str(tmp_path / "notes.txt") in line
    assert "--force" in line
    assert "-o" in line
    assert "more" not in line
    (tmp_path / "b.txt").write_text("mine")
    assert "1 more" in refused(tmp_path, FIRST)
    (tmp_path / "a.txt").write_text("mine")
    line = refused(tmp_path, FIRST)
    assert f"{tmp_path / 'a.txt'}: " in line
    assert "2 more" in line


@pytest.mark.parametrize("made", ["empty", ".hidden", "parts/x.txt", "boards/deep/er/x"])
def test_anything_else_counts(tmp_path: Path, made: str) -> None:
    place(tmp_path, FIRST, force=False)
    path = tmp_path / made
    if made == "empty":
        path.mkdir()
    else:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("mine")
    assert str(path) in refused(tmp_path, SECOND)
    place(tmp_path, SECOND, force=True)
    kept = {made: None if made == "empty" else b"mine"}
    folders = {p.relative_to(tmp_path).as_posix(): None for p in path.parents if tmp_path in p.parents}
    assert tree(tmp_path) == {**whole(SECOND), **folders, **kept}


def test_an_edited_file_is_the_users(tmp_path: Path) -> None:
    place(tmp_path, FIRST, force=False)
    edited = tmp_path / "parts" / "short.dxf"
    edited.write_text("by hand")
    line = refused(tmp_path, SECOND)
    assert str(edited) in line
    assert "changed" in line
    # In nobody's way: kept beside the new ones. In the way: refused whatever the options.
    place(tmp_path, SECOND, force=True)
    assert tree(tmp_path) == {**whole(SECOND), "parts/short.dxf": b"by hand"}
    line = refused(tmp_path, FIRST, force=True)
    assert str(edited) in line
    assert "in the way" in line


@pytest.mark.parametrize(
    "record",
    [
        b"{}",
        b"not json",
        b"\xff\xfe",
        b"[1]",
        b"[" * 100_000,
        b'{"schema_version": 1, "files": []}',
        b'{"schema_version": 1, "written_by": "me", "files": []}',
        b'{"written_by": "cutpath", "files": []}',
        b'{"schema_version": 1, "written_by": "cutpath"}',
        b'{"schema_version": 1, "written_by": "cutpath", "files": [7]}',
    ],
)
def test_a_record_that_is_none_of_ours(tmp_path: Path, record: bytes) -> None:
    (tmp_path / "result.json").write_bytes(record)
    assert "result.json" in refused(tmp_path, FIRST)
    assert "in the way" in refused(tmp_path, FIRST, force=True)


def test_a_record_that_points_elsewhere_moves_nothing(tmp_path: Path) -> None:
    outside = tmp_path / "outside.txt"
    outside.write_text("mine")
    sha = hashlib.sha256(b"mine").hexdigest()
    folder = tmp_path / "out"
    folder.mkdir()
    listed = [{"path": p, "sha256": sha} for p in ("../outside.txt", str(outside), "a/../../outside.txt", "")]
    record = {"schema_version": 1, "written_by": "cutpath", "files": listed}
    (folder / "result.json").write_text(json.dumps(record))
    place(folder, FIRST, force=False)
    assert tree(folder) == whole(FIRST)
    assert outside.read_text() == "mine"


@pytest.mark.parametrize("force", [False, True])
def test_links_are_not_followed(tmp_path: Path, force: bool) -> None:
    elsewhere, folder = tmp_path / "elsewhere", tmp_path / "out"
    elsewhere.mkdir()
    place(elsewhere, FIRST, force=False)
    folder.mkdir()
    (folder / "parts").symlink_to(elsewhere / "parts", target_is_directory=True)
    assert str(folder / "parts") in refused(folder, FIRST, force=force)
    (folder / "parts").unlink()
    (folder / "list.csv").symlink_to(elsewhere / "list.csv")
    assert str(folder / "list.csv") in refused(folder, FIRST, force=force)
    (folder / "list.csv").unlink()
    (folder / "boards").symlink_to(tmp_path / "gone")
    assert str(folder / "boards") in refused(folder, FIRST, force=force)
    assert tree(elsewhere) == whole(FIRST)


def test_a_link_to_the_folder_itself_is_fine(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "link").symlink_to(tmp_path / "real")
    place(tmp_path / "link", FIRST, force=False)
    assert tree(tmp_path / "real") == whole(FIRST)


def test_what_stands_in_the_way_is_kept_even_by_force(tmp_path: Path) -> None:
    (tmp_path / "parts").write_text("a file where a folder is to be")
    assert str(tmp_path / "parts") in refused(tmp_path, FIRST, force=True)
    (tmp_path / "parts").unlink()
    (tmp_path / "list.csv").mkdir()
    assert str(tmp_path / "list.csv") in refused(tmp_path, FIRST, force=True)
    (tmp_path / "list.csv" / "x").write_text("mine")
    assert str(tmp_path / "list.csv") in refused(tmp_path, FIRST, force=True)
    (tmp_path / "list.csv" / "x").unlink()
    (tmp_path / "list.csv").rmdir()
    (tmp_path / "List.CSV").write_text("one file with list.csv on many disks")
    assert "List.CSV" in refused(tmp_path, FIRST, force=True)


def test_names_that_differ_in_case_alone(tmp_path: Path) -> None:
    assert "parts/A.dxf" in refused(tmp_path, export(parts__A_dxf="1", parts__a_dxf="2"))


def test_ours_in_another_case_gives_way(tmp_path: Path) -> None:
    place(tmp_path, export(parts__A_dxf="1"), force=False)
    place(tmp_path, export(parts__a_dxf="2"), force=False)
    assert tree(tmp_path) == whole(export(parts__a_dxf="2"))


@pytest.mark.parametrize("path", ["../x", "/x", "a//b", "a/./b", "a\\b", "c:x", "", "a/", ".x", "aux.dxf", "x.", "é"])
def test_a_path_that_leads_elsewhere_is_the_callers_fault(tmp_path: Path, path: str) -> None:
    with pytest.raises(ValueError, match="plain relative path"):
        place(tmp_path, {path: b"x"}, force=True)
    assert tree(tmp_path) == {}


def test_files_without_their_record_are_the_callers_fault(tmp_path: Path) -> None:
    for files in ({"a.csv": b"x"}, {**FIRST, "a.csv": b"x"}, {**FIRST, "list.csv": b"other"}):
        with pytest.raises(ValueError, match=r"result\.json"):
            place(tmp_path, files, force=False)
    assert tree(tmp_path) == {}


def test_a_folder_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    assert "is a file" in refused(tmp_path / "out", FIRST)
    assert str(tmp_path / "out" / "below") in refused(tmp_path / "out" / "below", FIRST)
    assert (tmp_path / "out").read_text() == "mine"


def as_nobody(code: str, *args: object, limit: int | None = None) -> str:
    """Run code in a process of its own, without the rights of root, files bounded to `limit` bytes; its output."""
    start = "import os, resource, sys\n"
    if limit is not None:
        start += f"resource.setrlimit(resource.RLIMIT_FSIZE, ({limit}, {limit}))\n"
    # Import first: the checkout may be closed to others.
    start += "from tests.test_place import *\nif os.getuid() == 0: os.setuid(65534)\n"
    run = subprocess.run(
        [sys.executable, "-B", "-c", start + code, *map(str, args)],
        cwd=Path(__file__).parents[1],
        capture_output=True,
        text=True,
        check=True,
    )
    return run.stdout


TRY = """
for folder in sys.argv[1:]:
    try:
        place(Path(folder), {files}, force=False)
        print("placed")
    except OutputRefused as fault:
        print(*fault.lines)
"""


@pytest.fixture
def open_folder() -> Iterator[Path]:
    """A folder that another user can reach, unlike pytest's own."""
    with tempfile.TemporaryDirectory() as name:
        Path(name).chmod(0o755)
        yield Path(name)


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "setuid"), reason="needs users and their rights")
def test_unwritable(open_folder: Path) -> None:
    out = open_folder / "out"
    out.mkdir()
    place(out, FIRST, force=False)
    out.chmod(0o555)
    closed = open_folder / "closed"
    closed.mkdir(mode=0o700)
    targets = (out, closed, closed / "new", open_folder / "new", open_folder / "new" / "below")
    lines = as_nobody(TRY.format(files="SECOND"), *targets).splitlines()
    for target, line in zip(targets, lines, strict=True):
        assert line.startswith(f"{target}: ")
        assert "Permission denied" in line
        assert "nothing was changed" in line
    assert tree(open_folder) == {"closed": None, "out": None, **{f"out/{k}": v for k, v in whole(FIRST).items()}}


@pytest.mark.skipif(not hasattr(os, "setuid"), reason="needs users and their rights")
def test_a_part_of_the_folder_unwritable(open_folder: Path) -> None:
    """The new files are staged when the trouble shows; all goes back."""
    place(open_folder, FIRST, force=False)
    open_folder.chmod(0o777)
    (open_folder / "boards").chmod(0o777)
    (open_folder / "parts").chmod(0o555)
    assert "Permission denied" in as_nobody(TRY.format(files="SECOND"), open_folder)
    assert tree(open_folder) == whole(FIRST)


def test_a_disk_that_can_not_sync_folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fsync(handle: int) -> None:
        if stat.S_ISDIR(os.fstat(handle).st_mode):
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))

    monkeypatch.setattr(os, "fsync", fsync)
    place(tmp_path, FIRST, force=False)
    place(tmp_path, SECOND, force=False)
    assert tree(tmp_path) == whole(SECOND)


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "setuid"), reason="needs limits on a process")
def test_no_room_for_a_file(open_folder: Path) -> None:
    """A bound on the size of files stands for a full disk: the write itself fails."""
    open_folder.chmod(0o777)
    big = "export(parts__a_dxf='x', parts__b_dxf='x' * 100_000)"
    line = as_nobody(TRY.format(files=big), open_folder / "out", limit=50_000)
    assert "File too large" in line
    assert tree(open_folder) == {}
    assert as_nobody(TRY.format(files=big), open_folder / "out") == "placed\n"


# What changes the file system; the n-th call of any of them is where trouble strikes.
CALLS = ("replace", "rename", "link", "mkdir", "rmdir", "unlink", "fsync", "open")


class Trouble:
    """Strikes at the n-th change, before or after it is done, once or from then on."""

    def __init__(self, at: int, strike: Callable[[], Any], *, after: bool = False, lasting: bool = False) -> None:
        self.at, self.strike, self.after, self.lasting = at, strike, after, lasting
        self.count = 0
        self.names: list[str] = []

    @contextlib.contextmanager
    def __call__(self) -> Iterator[None]:
        with pytest.MonkeyPatch.context() as patch:
            for name in CALLS:
                patch.setattr(os, name, self._wrapped(name, getattr(os, name)))
            patch.setattr(io, "open", self._wrapped("open", io.open))
            yield

    def _wrapped(self, name: str, call: Callable[..., Any]) -> Callable[..., Any]:
        def wrapper(*args: Any, **kwargs: Any) -> Any:
            self.count += 1
            self.names.append(name)
            due = self.count == self.at or (self.lasting and self.count > self.at)
            if due and not self.after:
                self.strike()
            try:
                return call(*args, **kwargs)
            finally:
                if due and self.after:
                    self.strike()

        return wrapper

    @property
    def struck(self) -> bool:
        return self.count >= self.at


def full() -> None:
    raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))


def interrupted() -> None:
    raise KeyboardInterrupt


def steps(
    tmp_path: Path, strike: Callable[[], Any], *, after: bool, lasting: bool = False
) -> Iterator[tuple[Path, Trouble]]:
    """A folder with the first export and trouble at each step of the second, one by one, until there is none left."""
    for at in range(1, 1000):
        folder = tmp_path / str(at)
        place(folder, FIRST, force=False)
        trouble = Trouble(at, strike, after=after, lasting=lasting)
        yield folder, trouble
        if not trouble.struck:
            assert at > 30, "so many changes are made"
            return


@pytest.mark.slow
def test_an_error_at_any_step_leaves_all_as_it_was(tmp_path: Path) -> None:
    old, new = whole(FIRST), whole(SECOND)
    failed = 0
    for folder, trouble in steps(tmp_path, full, after=False):
        with trouble():
            try:
                place(folder, SECOND, force=False)
                expected = new
            except OutputRefused as fault:
                assert "No space left on device" in str(fault)
                assert "nothing was changed" in str(fault)
                expected = old
                failed += 1
        assert {p: d for p, d in tree(folder).items() if not p.startswith(STAGING)} == expected
        recover(folder)
        assert tree(folder) == expected
    assert failed > 20


@pytest.mark.slow
@pytest.mark.parametrize("after", [False, True])
def test_an_interrupt_at_any_step_leaves_all_or_nothing(tmp_path: Path, after: bool) -> None:
    old, new = whole(FIRST), whole(SECOND)
    seen = []
    for folder, trouble in steps(tmp_path, interrupted, after=after):
        with trouble(), contextlib.suppress(KeyboardInterrupt):
            place(folder, SECOND, force=False)
        found = tree(folder)
        visible = {p: d for p, d in found.items() if not p.startswith(STAGING)}
        assert visible in (old, new)
        seen.append(visible == new)
        recover(folder)
        assert tree(folder) == (new if seen[-1] else old)
    assert seen == sorted(seen), "from one step on the change holds"
    assert {False, True} == set(seen)


@pytest.mark.slow
def test_a_disk_that_dies_at_any_step_and_comes_back(tmp_path: Path) -> None:
    """Putting back fails, too; the next export does it, before it does anything else."""
    old, new = whole(FIRST), whole(SECOND)
    pending = 0
    for folder, trouble in steps(tmp_path, full, after=False, lasting=True):
        done = False
        with trouble():
            try:
                place(folder, SECOND, force=False)
                done = True
            except OutputRefused as fault:
                if "put back by the next export" in str(fault):
                    pending += 1
        recover(folder)
        assert tree(folder) == (new if done else old)
    assert pending > 5


def second(folder: str) -> None:
    place(Path(folder), SECOND, force=False)


def clear_away(folder: str) -> None:
    recover(Path(folder))


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork to be killed cheaply")
@pytest.mark.parametrize("after", [False, True])
def test_killed_at_any_step(tmp_path: Path, after: bool) -> None:
    """A process that is gone at once, as by kill -9 or a loss of power that spares the disk."""
    old, new = whole(FIRST), whole(SECOND)
    place(tmp_path / "0", FIRST, force=False)
    for n, at in enumerate(killing(after, second, tmp_path / "0")):
        folder = tmp_path / str(at)
        place(folder, FIRST, force=False)
        code = killed(at, after, second, folder)
        if code == 0:
            break
        assert code == GONE
        for path, data in tree(folder).items():
            if data is not None and not path.startswith(STAGING):
                assert data in (FIRST.get(path), SECOND.get(path)), "no file is half written"
        # Clearing away may be killed as well, at any of its steps.
        if n % 3 == 0:
            assert killed(1 + n // 3, after, clear_away, folder) in (0, GONE)
        if n % 2 == 0:
            place(folder, SECOND, force=False)
            assert tree(folder) == new
        else:
            recover(folder)
            assert tree(folder) in (old, new)
    assert code == 0 and at > 30 and n > 5


def test_the_record_is_never_beside_files_that_it_does_not_describe(tmp_path: Path) -> None:
    place(tmp_path, FIRST, force=False)
    seen: list[str | None] = []

    def look() -> None:
        record = tmp_path / "result.json"
        if not record.exists():
            seen.append(None)
            return
        files = FIRST if record.read_bytes() == FIRST["result.json"] else SECOND
        seen.append("first" if files is FIRST else "second")
        for path, data in files.items():
            assert (tmp_path / path).read_bytes() == data

    replace, link = os.replace, os.link
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "replace", lambda *a: (look(), replace(*a), look())[1])
        patch.setattr(os, "link", lambda *a: (look(), link(*a), look())[1])
        place(tmp_path, SECOND, force=False)
    assert seen[0] == "first"
    assert seen[-1] == "second"
    assert None in seen


def test_neither_is_it_while_a_change_is_undone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Killed right before the change holds; whoever undoes it may be killed as well, at any step."""
    place(tmp_path, FIRST, force=False)
    real_move, moved = stage._move, []

    def moved_and_stopped(*arguments: Any) -> None:
        real_move(*arguments)
        moved.append(1)
        raise KeyboardInterrupt

    seen: set[str] = set()

    def look() -> None:
        if moved and (tmp_path / "result.json").exists():
            record = (tmp_path / "result.json").read_bytes()
            files = FIRST if record == FIRST["result.json"] else SECOND
            seen.add("first" if files is FIRST else "second")
            assert all((tmp_path / path).read_bytes() == data for path, data in files.items())

    def looking(real: Callable[..., None]) -> Callable[..., None]:
        def call(*arguments: Any) -> None:
            look()
            real(*arguments)
            look()

        return call

    monkeypatch.setattr(stage, "_move", moved_and_stopped)
    monkeypatch.setattr(os, "replace", looking(os.replace))
    monkeypatch.setattr(os, "link", looking(os.link))
    with pytest.raises(KeyboardInterrupt):
        place(tmp_path, SECOND, force=False)
    assert seen == {"first", "second"} and tree(tmp_path) == whole(FIRST)


def test_two_exports_at_a_time(tmp_path: Path) -> None:
    (tmp_path / STAGING).mkdir()
    lock = take(tmp_path / STAGING / "lock")
    assert lock is not None
    assert "another export" in refused(tmp_path, FIRST)
    release(lock, tmp_path / STAGING / "lock")
    place(tmp_path, FIRST, force=False)
    assert tree(tmp_path) == whole(FIRST)


@pytest.mark.parametrize("force", [False, True])
def test_a_staging_folder_that_is_none_of_ours(tmp_path: Path, force: bool) -> None:
    for made in ("mine.txt", "new/mine.txt", "old/0/x"):
        path = tmp_path / made.split("/")[0][0] / STAGING / made
        path.parent.mkdir(parents=True)
        path.write_text("mine")
        assert STAGING in refused(path.parents[made.count("/") + 1], FIRST, force=force)
    folder = tmp_path / "journal"
    (folder / STAGING).mkdir(parents=True)
    for journal in ("{}", "", '{"written_by": "cutpath", "new": [], "old": ["../x"], "made": [], "homes": []}'):
        (folder / STAGING / "journal.json").write_text(journal)
        assert STAGING in refused(folder, FIRST, force=force)


def test_what_came_to_stand_where_an_old_file_belongs_is_kept(tmp_path: Path) -> None:
    """Killed half way; then the user put a file of theirs where an old one was."""
    place(tmp_path, FIRST, force=False)
    moves = 0

    def moving(real: Callable[..., None]) -> Callable[..., None]:
        def move(a: Any, b: Any) -> None:
            nonlocal moves
            moves += 1
            if moves > 3:
                full()
            real(a, b)

        return move

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(os, "replace", moving(os.replace))
        patch.setattr(os, "link", moving(os.link))
        with pytest.raises(OutputRefused, match="put back by the next export"):
            place(tmp_path, SECOND, force=False)
    gone = next(p for p in FIRST if p != "result.json" and not (tmp_path / p).exists())
    (tmp_path / gone).write_text("mine")
    for _ in range(2):
        with pytest.raises(OutputRefused, match="to be put back") as caught:
            place(tmp_path, SECOND, force=True)
        assert str(tmp_path / gone) in str(caught.value)
    assert (tmp_path / gone).read_text() == "mine"
    (tmp_path / gone).unlink()
    place(tmp_path, SECOND, force=False)
    assert tree(tmp_path) == whole(SECOND)


@pytest.mark.skipif(not Path("/proc/self/fd").exists(), reason="needs to see which file a handle stands for")
def test_new_files_and_journal_are_on_disk_before_the_first_old_file_moves(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place(tmp_path, FIRST, force=False)
    done: list[str] = []
    real = os.replace

    def fsync(handle: int) -> None:
        done.append("sync " + Path(os.readlink(f"/proc/self/fd/{handle}")).relative_to(tmp_path).as_posix())

    def replace(a: Path, b: Path) -> None:
        done.append("move " + a.relative_to(tmp_path).as_posix())
        real(a, b)

    monkeypatch.setattr(os, "fsync", fsync)
    monkeypatch.setattr(os, "replace", replace)
    place(tmp_path, SECOND, force=False)
    first = done.index("move result.json")
    before = done[:first]
    assert {f"sync {STAGING}/new/{n}" for n in range(len(SECOND))} <= set(before)
    assert before[-2:] == [f"move {STAGING}/journal.draft", f"sync {STAGING}"]
    assert f"sync {STAGING}/journal.draft" in before
    moved = [k for k, what in enumerate(done) if what.startswith("move")]
    assert {"sync .", "sync parts", "sync boards", "sync more/deep"} <= set(done[moved[-1] :])
