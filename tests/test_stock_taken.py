"""What an export took stands in the stock file: made anew, it takes that once, and puts back what it needs no more."""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.faults import OutputRefused
from cutpath.job.values import StockBoards
from cutpath.stockfile.kept import Kept
from cutpath.stockfile.keys import stock_schema
from cutpath.stockfile.read import digest_of, read_stock, stock_of
from cutpath.stockfile.taken import folder_of, put_back, taken_by
from cutpath.stockfile.text import edited, with_offcut
from cutpath.stockfile.update import Whose, update_stock, updated_text
from cutpath.stockfile.values import Stock
from tests.jobs import FIXTURES
from tests.test_stockfile import RACK, rack, racks

OUT = Whose("out", ("Deck",))
SCHEMA = Draft202012Validator(stock_schema())


def read(text: str) -> Stock:
    return replace(stock_of(tomllib.loads(text), "rack.toml"), digest=digest_of(text), text=text)


def plain(boards: tuple[StockBoards, ...]) -> list[StockBoards]:
    return [replace(board, source="") for board in boards]


@settings(max_examples=50, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_whatever_was_taken_comes_back_to_its_place(data: st.DataObject) -> None:
    text = data.draw(racks())
    if 'units = "mm"' not in text:
        text = 'units = "mm"\n' + text
    stock = read(text)
    used = [board for board in stock.boards for _ in range(data.draw(st.integers(0, board.quantity or 2)))]
    kept = [Kept(b, 700.0, b.length - 700.0, "Deck, board 1") for b in stock.boards[: data.draw(st.integers(0, 2))]]
    new, change = updated_text(text, stock, used, kept, OUT)
    after = read(new)
    taken = taken_by(after, "out")
    if not change.taken and not kept:
        assert taken is None and new == text
        return
    assert taken is not None
    assert sum(took.count for took in taken.boards) == change.taken == sum(b.quantity is not None for b in used)
    back = put_back(after, taken)
    assert plain(back.boards) == plain(stock.boards)
    assert back.taken == () and back.back == taken and back.digest == digest_of(new)
    # The same boards again: nothing changes. Every comment stays, whatever comes and goes.
    again = dict(zip([b.source for b in stock.boards], back.boards, strict=True))
    repeated = [again[board.source] for board in used]
    assert updated_text(back.text, back, repeated, kept, OUT)[1].same
    assert not updated_text(back.text, back, [], kept, OUT)[1].same or not change.taken
    assert [new.count(note) for note in ("# after it", "# top")] == [
        back.text.count(n) for n in ("# after it", "# top")
    ]
    assert list(SCHEMA.iter_errors(tomllib.loads(new))) == []


def test_a_text_comes_back_as_it_was_under_its_comments() -> None:
    one = RACK.replace("# knot near the end\n", "").replace("[\n  [30, 33],\n]", "[[30, 33]]").replace("5.00", "5.5")
    more = '# new in May\n[[offcut]]\nname = "B"\nsize = "2x12"\nlength = "3\'"\n\n# the yard'
    two = one.replace("# the yard", more)
    close = two.replace("\n\n# new in May\n", "\n")
    for text, numbers in ((one, (0,)), (two, (0, 1)), (close, (0, 1))):
        for number in numbers:
            entries = tomllib.loads(text)["offcut"]
            out = edited(text, {}, [("offcut", number)], ())
            assert len(tomllib.loads(out).get("offcut", [])) == len(entries) - 1
            back = with_offcut(out, number, entries[number])
            assert tomllib.loads(back) == tomllib.loads(text)
            # Without a blank line between two tables it can't be told whose a comment is.
            assert text is close or back == text


def changed(path: Path, edit: Callable[[str], str], *, took: int = 1) -> None:
    """A rack file of which an export took the offcut A and some whole boards, and somebody changed it since."""
    stock = read_stock(path)
    door, left, _ = stock.boards
    update_stock(path, stock, [*[door] * took, left], [Kept(door, 1000.0, 2657.6, "Deck, board 1")], OUT)
    text = path.read_text()
    new = edit(text)
    assert new != text
    path.write_text(new)


@pytest.mark.parametrize(
    ("edit", "why"),
    [
        (lambda t: t.replace('name = "Deck, board 1"\nsize', 'name = "C"\nsize'), 'its offcut "Deck, board 1" is no'),
        (lambda t: re.sub(r"length = 39[.0-9]+\nfrom", "length = 20\nfrom", t), 'its offcut "Deck, board 1" is no'),
        (lambda t: t.replace('length = "12\'"\nquantity', 'length = "10\'"\nquantity'), "the entry of 2x12 x 144 in"),
        (lambda t: t + '[[offcut]]\nname = "A"\nsize = "2x12"\nlength = 40\n', 'another offcut is called "A" by'),
    ],
)
def test_what_somebody_changed_is_not_put_back(tmp_path: Path, edit: Callable[[str], str], why: str) -> None:
    path = rack(tmp_path)
    changed(path, edit)
    stock = read_stock(path)
    with pytest.raises(OutputRefused) as caught:
        put_back(stock, stock.taken[0])
    (line,) = caught.value.lines
    assert f"what the last export to out took can't be put back: {why}" in line and "[[taken]]" in line


@pytest.mark.parametrize(
    "edit",
    [
        lambda t: t.replace("quantity = 2 ", "quantity = 12 "),  # a delivery
        lambda t: t.replace('length = "12\'"\n', 'length = "144 in"\n', 1),  # the same length
        lambda t: t + '\n[[offcut]]\nname = "C"\nsize = "2x12"\nlength = 50\n',
        lambda t: t.replace("[[stock]] ", '[[stock]]\nsize = "2x10"\nlength = 144\n\n[[stock]] ', 1),
    ],
)
def test_other_changes_stay_when_boards_are_put_back(tmp_path: Path, edit: Callable[[str], str]) -> None:
    path = rack(tmp_path)
    changed(path, edit)
    stock = read_stock(path)
    back = put_back(stock, stock.taken[0])
    mine = edit(path.read_text()) and tomllib.loads(path.read_text())
    counted = sum(entry.get("quantity", 0) for entry in mine["stock"])
    assert sum(b.quantity or 0 for b in back.boards if b.source.startswith("stock")) == counted + 1
    names = {entry["name"] for entry in mine["offcut"]}
    assert {b.offcut for b in back.boards if b.offcut} == (names - {"Deck, board 1"}) | {"A"}


def test_two_records_of_one_folder_are_a_fault(tmp_path: Path) -> None:
    path = rack(tmp_path)
    changed(path, lambda t: t + '\n[[taken]]\nfolder = "out"\njobs = ["Deck"]\n')
    assert run(["nest", str(FIXTURES / "orchard-steps.toml"), "--stock", str(path)]) == 2


def test_a_folder_is_named_as_the_stock_file_sees_it(tmp_path: Path) -> None:
    (tmp_path / "shop").mkdir()
    stock = tmp_path / "shop" / "rack.toml"
    assert folder_of(tmp_path / "shop" / "may", stock) == "may"
    assert folder_of(tmp_path / "jobs" / "may", stock) == "../jobs/may"
    assert folder_of(tmp_path / "shop" / ".." / "jobs" / "a\nb", stock) == "../jobs/a%0Ab"
    (tmp_path / "link").symlink_to(tmp_path / "shop")
    assert folder_of(tmp_path / "link" / "may", tmp_path / "link" / "rack.toml") == "may"


DEMO = (FIXTURES / "orchard-steps.toml").read_text()
DEMO = DEMO[: DEMO.index("[[stock]]")]
SHELF = """# by the door
[[stock]]
size = "2x12"
length = "16'"
quantity = 3

# from the barn
[[offcut]]
name = "A7"
size = "2x12"
length = 70
"""


class Yard:
    """A folder with a job, a stock file and the export's folder; `export` gives status and printed lines."""

    def __init__(self, path: Path, capsys: pytest.CaptureFixture[str]) -> None:
        self.path, self.capsys = path, capsys
        self.rack, self.out = path / "rack.toml", path / "out"
        self.rack.write_text(SHELF)
        self.job()

    def job(self, count: int = 3, name: str = "Orchard steps") -> None:
        text = DEMO.replace("count = 3", f"count = {count}").replace('"Orchard steps"', f'"{name}"')
        (self.path / "a.toml").write_text(text)

    def export(self, *options: str) -> tuple[int, str, str]:
        arguments = ["export", str(self.path / "a.toml"), "--stock", str(self.rack), "-o", str(self.out), *options]
        status = run(arguments)
        done = self.capsys.readouterr()
        return status, done.out, done.err

    def counts(self) -> tuple[int, list[str]]:
        """Whole boards on the rack, and offcuts by name."""
        data = tomllib.loads(self.rack.read_text())
        return sum(e["quantity"] for e in data["stock"]), [e["name"] for e in data.get("offcut", [])]

    def state(self) -> dict[str, tuple[bytes, int]]:
        return {
            p.relative_to(self.path).as_posix(): (p.read_bytes(), p.stat().st_mtime_ns)
            for p in self.path.rglob("*")
            if p.is_file()
        }


@pytest.fixture
def yard(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Yard:
    return Yard(tmp_path, capsys)


@pytest.mark.slow
def test_a_second_run_changes_nothing_and_says_so(yard: Yard) -> None:
    assert yard.export("--update-stock")[0] == 0
    assert yard.counts()[0] == 2
    before = yard.state()
    status, out, err = yard.export("--update-stock")
    assert (status, err) == (0, "") and yard.state() == before
    assert "left as it is: the last export to" in out and "none was touched" in out
    # Without the option neither: the folder's own boards still count as there.
    status, out, _ = yard.export()
    assert status == 0 and yard.state() == before and "--update-stock" not in out


@pytest.mark.slow
def test_a_changed_job_puts_the_first_s_boards_back(yard: Yard) -> None:
    yard.export("--update-stock")
    first = yard.rack.read_text()
    yard.job(count=7)
    status, out, _ = yard.export()
    assert status == 0 and yard.rack.read_text() == first and "still says what the last export" in out
    status, out, _ = yard.export("--update-stock")
    assert status == 0 and "put back" in out
    assert (yard.path / "rack.toml.before").read_text() == first
    yard.job(count=3)
    yard.export("--update-stock")
    assert yard.rack.read_text() == first, "there and back leaves no trace, not a blank line"
    other = Yard.__new__(Yard)
    other.__dict__.update(yard.__dict__, out=yard.path / "elsewhere")
    assert other.export("--update-stock")[0] == 2, "it has its boards already"
    yard.job(name="Pump house")
    assert other.export("--update-stock")[0] == 0
    assert len(tomllib.loads(yard.rack.read_text())["taken"]) == 2, "another folder is another export"


@pytest.mark.slow
def test_another_job_for_the_same_folder_is_refused(yard: Yard) -> None:
    yard.export("--update-stock")
    yard.job(name="Pump house")
    before = yard.state()
    status, _, err = yard.export("--update-stock")
    assert status == 2 and yard.state() == before
    (line,) = err.splitlines()
    assert '"Orchard steps" took boards off' in line and "-o" in line and "[[taken]]" in line
    # Cut by now: without its table those boards are gone for good.
    text = yard.rack.read_text()
    yard.rack.write_text(text[: text.index("[[taken]]")])
    counts = yard.counts()
    assert yard.export("--update-stock")[0] == 0 and yard.counts()[0] < counts[0]


@pytest.mark.slow
def test_offcuts_used_since_are_told_before_anything_is_written(yard: Yard) -> None:
    yard.job(count=5)
    yard.export("--update-stock")
    (used,) = [name for name in yard.counts()[1] if name != "A7"][:1]
    yard.rack.write_text(edited(yard.rack.read_text(), {}, [("offcut", yard.counts()[1].index(used))], ()))
    before = yard.state()
    for options in (("--update-stock",), ()):
        status, _, err = yard.export(*options)
        assert status == 2 and yard.state() == before
        (line,) = err.splitlines()
        assert f'its offcut "{used}" is no longer there as it was left' in line


@pytest.mark.slow
@pytest.mark.parametrize("first", [True, False], ids=["first run", "changed job"])
def test_boards_taken_without_files_in_place_are_made_good_by_the_next_run(
    yard: Yard, monkeypatch: pytest.MonkeyPatch, first: bool
) -> None:
    """Killed between the two, so that nothing is put back: the list says whose boards are off it."""
    if not first:
        yard.job(count=7)
        yard.export("--update-stock")
        yard.job(count=3)
    with monkeypatch.context() as broken:
        broken.setattr("cutpath.place.stage._move", lambda *a: (_ for _ in ()).throw(KeyboardInterrupt))
        broken.setattr("cutpath.place.stage._undo", lambda *a: None)
        broken.setattr("cutpath.stockfile.update.Update.put_back", lambda self: None)
        assert yard.export("--update-stock")[0] == 130
    assert yard.counts()[0] < 3
    assert yard.export("--update-stock")[0] == 0
    once = yard.rack.read_text()
    assert (yard.out / "boards" / "01.dxf").exists()
    yard.rack.write_text(SHELF)
    yard.out.rename(yard.path / "old")
    yard.export("--update-stock")
    assert yard.rack.read_text() == once, "as a run that was not broken off leaves it"


def test_a_run_that_is_stopped_right_after_the_list_was_changed_puts_it_back(
    yard: Yard, monkeypatch: pytest.MonkeyPatch
) -> None:
    real = os.replace
    stopped = False

    def then_stopped(source: str, target: object) -> None:
        nonlocal stopped
        real(source, target)
        if str(target) == str(yard.rack) and not stopped:
            stopped = True
            raise KeyboardInterrupt

    with monkeypatch.context() as broken:
        broken.setattr(os, "replace", then_stopped)
        status, _, err = yard.export("--update-stock")
    assert stopped and status == 130 and "nothing was changed" in err
    assert yard.rack.read_text() == SHELF and not yard.out.exists()
    assert {p.name for p in yard.path.iterdir()} == {"a.toml", "rack.toml", "rack.toml.before"}


@pytest.mark.slow
def test_who_does_not_get_the_boards_places_no_files(yard: Yard, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another export takes boards off the list when this one has planned on them and is about to place its files."""
    from cutpath.cli import export as command

    other = Yard.__new__(Yard)
    other.__dict__.update(yard.__dict__, out=yard.path / "elsewhere")
    ready = command._one

    def after_the_other(*arguments: object) -> object:
        monkeypatch.setattr(command, "_one", ready)
        found = ready(*arguments)  # type: ignore[arg-type]
        assert other.export("--update-stock")[0] == 0
        return found

    monkeypatch.setattr(command, "_one", after_the_other)
    status, _, err = yard.export("--update-stock")
    assert status == 2 and "was changed since it was read" in err
    assert not yard.out.exists() and (other.out / "boards" / "01.dxf").exists()
    assert len(tomllib.loads(yard.rack.read_text())["taken"]) == 1


@pytest.mark.slow
def test_files_that_do_not_get_into_place_leave_the_boards_on_the_list(yard: Yard) -> None:
    (yard.out / "boards").mkdir(parents=True)
    (yard.out / "boards" / "01.dxf").write_text("mine")
    before = yard.state()
    for options in (("--update-stock",), ("--update-stock", "--force")):
        assert yard.export(*options)[0] == 2
        assert yard.state() == before


@pytest.mark.slow
def test_a_folder_that_was_lost_takes_its_own_boards_again(yard: Yard) -> None:
    yard.export("--update-stock")
    once = yard.rack.read_text()
    yard.out.rename(yard.path / "moved-away")
    status, out, _ = yard.export("--update-stock")
    assert status == 0 and yard.rack.read_text() == once and "left as it is" in out
    assert (yard.out / "result.json").exists()


@pytest.mark.slow
def test_several_jobs_take_and_put_back_together(yard: Yard) -> None:
    (yard.path / "b.toml").write_text(DEMO.replace('"Orchard steps"', '"Pump house"').replace("count = 3", "count = 1"))
    both = [str(yard.path / "a.toml"), str(yard.path / "b.toml")]
    options = ["--stock", str(yard.rack), "-o", str(yard.out), "--update-stock"]
    assert run(["export", *both, *options]) == 0
    assert tomllib.loads(yard.rack.read_text())["taken"][0]["jobs"] == ["Orchard steps", "Pump house"]
    before = yard.state()
    assert run(["export", *both, *options]) == 0 and yard.state() == before
    assert run(["export", both[0], *options]) == 0
    alone = yard.rack.read_text()
    assert "put back" in yard.capsys.readouterr().out
    yard.rack.write_text(SHELF)
    (yard.out).rename(yard.path / "old")
    assert run(["export", both[0], *options]) == 0 and yard.rack.read_text() == alone


@pytest.mark.slow
def test_what_takes_nothing_leaves_the_file_alone(yard: Yard) -> None:
    yard.rack.write_text('[[price]]\nsize = "2x12"\nlength = 66\nprice = 9\n')
    before = yard.rack.read_text()
    status, out, _ = yard.export("--update-stock")
    assert status == 0 and "takes nothing off it" in out
    assert yard.rack.read_text() == before and not (yard.path / "rack.toml.before").exists()
