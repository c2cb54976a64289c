"""A file put where nothing stands is there whole or not at all; several are waited for together."""

from __future__ import annotations

import contextlib
import errno
import os
import subprocess
import sys
from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.disk import put_new, sync_files
from cutpath.job.read import read_job
from cutpath.job.starter import starter
from tests.killed import GONE, killed
from tests.test_place import Trouble, full, interrupted

WHOLE = starter("in").encode()
DRAFT = ".job.toml.cutpath-new"


@pytest.mark.parametrize("after", [False, True])
@pytest.mark.parametrize("strike", [full, interrupted])
def test_an_error_or_interrupt_at_any_step_leaves_it_whole_or_not_there(
    tmp_path: Path, strike: object, after: bool
) -> None:
    seen = set()
    for at in range(1, 100):
        path = tmp_path / str(at) / "job.toml"
        path.parent.mkdir()
        trouble = Trouble(at, strike, after=after)  # type: ignore[arg-type]
        refused = False
        with trouble(), contextlib.suppress(KeyboardInterrupt):
            try:
                put_new(path, WHOLE)
            except OSError:
                refused = True
        assert not (refused and path.exists()), "what is told as not written is not"
        seen.add(path.exists())
        assert not path.exists() or path.read_bytes() == WHOLE
        if not path.exists():
            put_new(path, WHOLE)
        assert [p.name for p in path.parent.iterdir() if p.name != DRAFT] == ["job.toml"]
        if not trouble.struck:
            break
    assert at > 5 and seen == {True, False}


def put_whole(path: str) -> None:
    put_new(Path(path), WHOLE)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork to be killed cheaply")
@pytest.mark.parametrize("after", [False, True])
def test_killed_at_any_step(tmp_path: Path, after: bool) -> None:
    for at in range(1, 100):
        path = tmp_path / str(at) / "job.toml"
        path.parent.mkdir()
        code = killed(at, after, put_whole, path)
        if path.exists():
            assert path.read_bytes() == WHOLE
        else:
            put_new(path, WHOLE)
            assert [p.name for p in path.parent.iterdir()] == ["job.toml"]
        if code == 0:
            break
        assert code == GONE
    assert at > 5


@pytest.mark.skipif(sys.platform == "win32", reason="needs limits on a process")
@pytest.mark.parametrize("room", [0, 1, 100, 4096])
def test_init_on_a_full_disk_leaves_no_half_job(tmp_path: Path, room: int) -> None:
    """A bound on the size of files stands for the disk; cut at the end of a line the starter is a job by itself."""
    if room == 4096:
        half = tmp_path / "half.toml"
        room = WHOLE.index(b"\n", room) + 1
        half.write_bytes(WHOLE[:room])
        read_job(half)
        half.unlink()
    code = f"import resource\nresource.setrlimit(resource.RLIMIT_FSIZE, ({room}, {room}))\n"
    code += "from cutpath.__main__ import run\nrun()"
    # Without -B a compiled module would be kept that is cut off at the same bound.
    made = subprocess.run(
        [sys.executable, "-B", "-c", code, "init", str(tmp_path / "job.toml")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert made.returncode == 2 and "File too large" in made.stderr and len(made.stderr.splitlines()) == 1
    assert list(tmp_path.iterdir()) == []


def test_init_writes_over_nothing_not_even_a_link_that_leads_nowhere(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "link.toml").symlink_to(tmp_path / "nowhere")
    (tmp_path / "folder").mkdir()
    for name in ("link.toml", "folder"):
        assert run(["init", str(tmp_path / name)]) == 2
        assert "is there already and was left as it is" in capsys.readouterr().err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["folder", "link.toml"]


def test_a_draft_in_the_way_is_replaced_and_a_link_for_one_not_followed(tmp_path: Path) -> None:
    (tmp_path / "mine").write_text("mine")
    (tmp_path / DRAFT).symlink_to(tmp_path / "mine")
    put_new(tmp_path / "job.toml", WHOLE)
    assert (tmp_path / "mine").read_text() == "mine" and (tmp_path / "job.toml").read_bytes() == WHOLE
    assert sorted(p.name for p in tmp_path.iterdir()) == ["job.toml", "mine"]


@pytest.mark.skipif(not hasattr(os, "posix_fadvise"), reason="needs a system that can be told to begin")
@pytest.mark.parametrize("refused", [False, True])
def test_files_are_all_on_their_way_before_the_first_is_waited_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refused: bool
) -> None:
    done: list[tuple[str, int]] = []

    def advise(handle: int, start: int, length: int, what: int) -> None:
        done.append(("sent", handle))
        if refused:
            raise OSError(errno.EINVAL, os.strerror(errno.EINVAL))

    monkeypatch.setattr(os, "posix_fadvise", advise)
    monkeypatch.setattr(os, "fsync", lambda handle: done.append(("waited for", handle)))
    with (tmp_path / "a").open("wb") as one, (tmp_path / "b").open("wb") as other:
        handles = [one.fileno(), other.fileno()]
        sync_files([one, other])
    assert done == [(what, handle) for what in ("sent", "waited for") for handle in handles]
