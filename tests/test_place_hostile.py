"""Putting files in place beside others at work in the folder, and in a folder that a stranger packed."""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import os
import random
import shutil
import subprocess
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.disk import release, take
from cutpath.faults import OutputRefused
from cutpath.place import place as place_module
from cutpath.place.place import place
from cutpath.place.record import digest, lists_all, scan
from cutpath.place.stage import STAGING, change, held, recover
from tests.jobs import FIXTURES
from tests.test_place import FIRST, NO_CUTS, SECOND, export, refused, tree, whole

#: Forked from a process that holds this module and nothing of the rest of the run.
SERVER = multiprocessing.get_context("forkserver")


# Others at work in the folder.


def test_the_folder_is_looked_at_under_the_lock(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    place(tmp_path, FIRST, force=False)
    free: list[bool] = []

    def looked(folder: Path, ignore: str) -> object:
        lock = take(folder / STAGING / "lock")
        free.append(lock is not None)
        if lock is not None:
            release(lock, folder / STAGING / "lock")
        return scan(folder, ignore)

    monkeypatch.setattr("cutpath.place.place.scan", looked)
    place(tmp_path, SECOND, force=False)
    assert free == [False]


def test_two_exports_that_wait_for_each_other_leave_one_set(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The second runs whole while the first is between its looking and its moving, or is refused."""
    place(tmp_path, NO_CUTS, force=False)
    told: list[str] = []

    def staged(*arguments: object) -> None:
        monkeypatch.setattr("cutpath.place.place.change", change)
        try:
            place(tmp_path, FIRST, force=False)
        except OutputRefused as fault:
            told.extend(fault.lines)
        change(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr("cutpath.place.place.change", staged)
    place(tmp_path, SECOND, force=False)
    assert tree(tmp_path) == whole(SECOND)
    assert "another export is writing there" in told[0]


@pytest.mark.slow
@pytest.mark.parametrize(("at", "status"), [("held", 0), ("change", 2)])
def test_two_jobs_into_one_folder_leave_no_file_under_the_other_s_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, at: str, status: int
) -> None:
    """The other job's export comes whole right before the first one's look, or between its look and its moves."""
    text = (FIXTURES / "orchard-steps.toml").read_text()
    jobs = [tmp_path / "porch.toml", tmp_path / "shed.toml"]
    for job in jobs:
        job.write_text(text.replace("Orchard steps", job.stem.title()))
    out, real, inside = tmp_path / "out", getattr(place_module, at), list[int]()

    def between(*arguments: object) -> object:
        if not inside:
            inside.append(0)
            inside[0] = run(["export", str(jobs[1]), "-o", str(out)])
        return real(*arguments)

    monkeypatch.setattr(place_module, at, between)
    assert run(["export", str(jobs[0]), "-o", str(out)]) == 0
    assert inside == [status]
    files = {path.relative_to(out).as_posix(): path.read_bytes() for path in out.rglob("*") if path.is_file()}
    assert lists_all(files), "the record lists every file as it is"
    assert json.loads(files["result.json"])["job"]["job"]["name"] == "Porch"
    assert not [path for path, content in files.items() if b"Shed" in content]


def _race(folder: str, files: dict[str, bytes], seed: int, seconds: float) -> None:
    chance, end = random.Random(seed), time.monotonic() + seconds
    while time.monotonic() < end:
        with contextlib.suppress(OutputRefused):
            place(Path(folder), files, force=False)
        if not chance.randrange(4):
            time.sleep(chance.random() / 500)


@pytest.mark.slow
def test_processes_that_race_for_a_folder_leave_one_set(tmp_path: Path) -> None:
    sets = [export(**{f"parts__{n}_dxf": str(n), "list_csv": str(n)}) for n in range(4)]
    out = tmp_path / "out"
    SERVER.set_forkserver_preload([__name__])
    crowd = [SERVER.Process(target=_race, args=(str(out), files, n, 1.0)) for n, files in enumerate(sets)]
    for one in crowd:
        one.start()
    for one in crowd:
        one.join()
        assert one.exitcode == 0
    assert tree(out) in [whole(files) for files in sets]


def _appears(folder: Path) -> None:
    (folder / "more" / "deep").mkdir(parents=True)
    (folder / "more" / "deep" / "x.dxf").write_text("mine")


def _is_edited(folder: Path) -> None:
    (folder / "boards" / "2.dxf").write_text("mine")


def _becomes_a_link(folder: Path) -> None:
    (folder / "boards" / "2.dxf").unlink()
    (folder / "boards" / "2.dxf").symlink_to(folder.parent / "elsewhere")


def _becomes_a_folder(folder: Path) -> None:
    (folder / "boards" / "2.dxf").unlink()
    (folder / "boards" / "2.dxf").mkdir()


def _folder_becomes_a_link(folder: Path) -> None:
    (folder / "boards").rename(folder.parent / "boards")
    (folder / "boards").symlink_to(folder.parent / "boards")


@pytest.mark.parametrize(
    "meanwhile", [_appears, _is_edited, _becomes_a_link, _becomes_a_folder, _folder_becomes_a_link]
)
@pytest.mark.parametrize("hard_links", [True, False])
def test_what_the_user_does_meanwhile_is_kept(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, meanwhile: Callable[[Path], None], hard_links: bool
) -> None:
    """After the look round and before the first move: the lock binds exports, not people."""
    if not hard_links:

        def none(*names: object) -> None:
            raise PermissionError(1, "Operation not permitted")

        monkeypatch.setattr(os, "link", none)
    folder = tmp_path / "out"
    place(folder, FIRST, force=False)
    seen: list[object] = []

    def first() -> Callable[[], object]:
        meanwhile(folder)
        seen.append({k: v for k, v in tree(folder).items() if not k.startswith(STAGING)})
        return lambda: seen.append("undone")

    with pytest.raises(OutputRefused, match=r"while the export ran|a link that leads out"):
        place(folder, SECOND, force=False, first=first)
    left = {k: v for k, v in tree(folder).items() if not k.startswith(STAGING)}
    assert [left, "undone"] == seen


def test_what_comes_first_may_refuse_and_is_asked_even_where_nothing_changes(tmp_path: Path) -> None:
    asked: list[int] = []

    def refuse() -> Callable[[], object]:
        asked.append(1)
        raise OutputRefused("no boards")

    for files in (FIRST, SECOND):
        with pytest.raises(OutputRefused, match="no boards"):
            place(tmp_path / "out", files, force=False, first=refuse)
        assert not (tmp_path / "out").exists()
    place(tmp_path / "out", FIRST, force=False)
    with pytest.raises(OutputRefused, match="no boards"):
        place(tmp_path / "out", FIRST, force=False, first=refuse)
    assert tree(tmp_path / "out") == whole(FIRST) and len(asked) == 3


def test_a_folder_that_others_take_away_is_made_again(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A refused export removes the folder that it made, just when this one has seen it there."""
    out = tmp_path / "a" / "out"
    left = 3
    real = os.open

    def opened(path: object, *rest: object, **more: object) -> int:
        nonlocal left
        if str(path).endswith("lock") and left:
            left -= 1
            shutil.rmtree(tmp_path / "a")
        return real(path, *rest, **more)  # type: ignore[call-overload, no-any-return]

    monkeypatch.setattr(os, "open", opened)
    place(out, FIRST, force=False)
    assert tree(out) == whole(FIRST) and not left


# A folder from a stranger.


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """What lies outside the folder and is to stay as it is."""
    path = tmp_path / "home"
    path.mkdir()
    (path / "x.txt").write_text("mine")
    (path / "empty").mkdir()
    return path


def packed(folder: Path, journal: dict[str, object], *, staged: bool = True) -> None:
    for name in ("new", "old"):
        (folder / STAGING / name).mkdir(parents=True)
    if staged:
        (folder / STAGING / "old" / "0").write_text("planted")
    whole_journal = {"written_by": "cutpath", "new": [], "old": [], "made": [], "homes": [], **journal}
    (folder / STAGING / "journal.json").write_text(json.dumps(whole_journal))


@pytest.mark.parametrize("force", [False, True])
@pytest.mark.parametrize(
    "journal",
    [
        {"old": ["parts/planted.txt"]},
        {"old": ["parts/deep/planted.txt"], "homes": ["parts", "parts/deep"]},
        {"new": [["parts/x.txt", digest(b"mine")]]},
        {"made": ["parts/empty"]},
        {"made": ["parts"]},
        {"homes": ["parts/planted"]},
    ],
    ids=["writes", "writes deeper", "moves away", "removes", "the link itself", "makes"],
)
def test_a_journal_goes_nowhere_through_a_link(
    tmp_path: Path, home: Path, journal: dict[str, object], force: bool
) -> None:
    before = tree(home)
    folder = tmp_path / "out"
    packed(folder, journal)
    (folder / "parts").symlink_to(home)
    with pytest.raises(OutputRefused) as caught:
        place(folder, FIRST, force=force)
    assert str(folder / "parts") in str(caught.value)
    assert tree(home) == before and (folder / "parts").is_symlink()
    # Where nothing would have to be done there, what was staged is swept away, and the link is in the way by itself.
    if (folder / STAGING).exists():
        assert "a link that leads out" in str(caught.value)
        with pytest.raises(OutputRefused):
            recover(folder)
        assert tree(home) == before
    # Without the link nothing leads out, and the folder is looked at like any other.
    (folder / "parts").unlink()
    if "old" not in journal:
        place(folder, FIRST, force=False)
        assert tree(folder) == whole(FIRST)


@pytest.mark.parametrize(
    "path", ["../home/x.txt", "a/../../home/x.txt", "/tmp/x", "..", "a/..", "c:/x", "a\\..\\..\\x"]
)
def test_a_journal_goes_never_above_the_folder(tmp_path: Path, home: Path, path: str) -> None:
    before = tree(home)
    for key in ("old", "made", "homes"):
        folder = tmp_path / key
        packed(folder, {key: [path]})
        assert STAGING in refused(folder, FIRST)
    packed(tmp_path / "new", {"new": [[path, digest(b"mine")]]})
    assert STAGING in refused(tmp_path / "new", FIRST)
    assert tree(home) == before


@pytest.mark.parametrize("at", ["", "new", "old", "new/0", "lock", "journal.json", "journal.draft"])
def test_links_in_the_staging_folder_are_not_followed(tmp_path: Path, home: Path, at: str) -> None:
    (home / "0").write_text("mine")
    before = tree(home)
    folder = tmp_path / "out"
    link = folder / STAGING / at
    link.parent.mkdir(parents=True)
    target = home if at in ("", "new", "old") else home / "x.txt"
    link.symlink_to(target)
    with pytest.raises(OutputRefused):
        place(folder, FIRST, force=True)
    assert tree(home) == before and link.is_symlink()
    assert not (folder / "result.json").exists()


def test_a_lock_that_leads_nowhere_makes_no_file(tmp_path: Path) -> None:
    (tmp_path / "lock").symlink_to(tmp_path / "made")
    with pytest.raises(OSError, match="no lock of cutpath's"):
        take(tmp_path / "lock")
    assert not (tmp_path / "made").exists()


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="needs pipes in folders")
def test_what_is_no_lock_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    os.mkfifo(tmp_path / "pipe")
    for name in ("file", "pipe"):
        with pytest.raises(OSError, match="no lock of cutpath's"):
            take(tmp_path / name)
    assert (tmp_path / "file").read_text() == "mine" and (tmp_path / "pipe").exists()
    (tmp_path / STAGING).mkdir()
    (tmp_path / STAGING / "lock").write_text("mine")
    assert "no lock of cutpath's" in refused(tmp_path, FIRST, force=True)


def test_a_link_that_the_users_have_put_for_the_folder_itself_is_theirs(tmp_path: Path) -> None:
    (tmp_path / "disk").mkdir()
    (tmp_path / "out").symlink_to(tmp_path / "disk")
    place(tmp_path / "out", FIRST, force=False)
    place(tmp_path / "out", SECOND, force=False)
    assert tree(tmp_path / "disk") == whole(SECOND)


@pytest.mark.slow
@pytest.mark.skipif(os.mkdir not in os.supports_dir_fd, reason="needs folders made from within")
def test_a_folder_deeper_than_calls_can_go(tmp_path: Path) -> None:
    """Refused as any other; and removed here by hand, since it is too deep for the usual ways."""
    here = os.open(tmp_path, os.O_RDONLY)
    handles = [here]
    for _ in range(1500):
        os.mkdir("d", dir_fd=handles[-1])
        handles.append(os.open("d", os.O_RDONLY, dir_fd=handles[-1]))
        if len(handles) > 2:
            os.close(handles.pop(-2))
    try:
        with pytest.raises(OutputRefused):
            place(tmp_path, FIRST, force=False)
    finally:
        for handle in handles:
            os.close(handle)
        subprocess.run(["rm", "-rf", str(tmp_path / "d")], check=True)


# What systems and programs leave.

STRAYS = (".DS_Store", "Thumbs.db", "desktop.ini", "._cut-list.csv", "~$cut-list.xlsx", ".~lock.list.csv#", "01.dwl2")


@pytest.mark.parametrize("stray", STRAYS)
def test_what_systems_and_programs_leave_blocks_nothing_and_stays(tmp_path: Path, stray: str) -> None:
    place(tmp_path, FIRST, force=False)
    left = [tmp_path / stray, tmp_path / "parts" / stray, tmp_path / "boards" / stray]
    for path in left:
        path.write_text("of a program")
    for files in (SECOND, NO_CUTS, FIRST):
        place(tmp_path, files, force=False)
        assert all(path.read_text() == "of a program" for path in left)
        found = {k: v for k, v in tree(tmp_path).items() if not k.endswith(stray)}
        assert {k: v for k, v in found.items() if v is not None} == files


@pytest.mark.parametrize("name", ["notes.txt", "DS_Store", "Thumbs.db.txt", "lock.list.csv", "01.dwg", ".profile"])
def test_anything_else_is_somebody_s(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("mine")
    assert name in refused(tmp_path, FIRST)


def test_a_link_or_a_folder_by_such_a_name_is_somebody_s(tmp_path: Path) -> None:
    (tmp_path / "a").mkdir()
    (tmp_path / "a" / ".DS_Store").symlink_to(tmp_path / "x")
    (tmp_path / "b" / "Thumbs.db" / "mine").mkdir(parents=True)
    assert ".DS_Store" in refused(tmp_path / "a", FIRST)
    assert "Thumbs.db" in refused(tmp_path / "b", FIRST)


def test_a_held_folder_is_free_again_and_holds_nothing_of_the_hold(tmp_path: Path) -> None:
    with held(tmp_path), pytest.raises(OutputRefused, match="another export"), held(tmp_path):
        pass
    with held(tmp_path):
        pass
    assert tree(tmp_path) == {}
