"""A stock file: what is wrong in it is told by key; what it says is kept, and only changed as a whole."""

from __future__ import annotations

import os
import stat
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator
from msgspec.structs import replace

from cutpath.disk import release, take
from cutpath.faults import JobFaults, OutputRefused
from cutpath.job.values import StockBoards
from cutpath.nest import Board
from cutpath.stockfile.kept import Kept, offcuts_to_keep
from cutpath.stockfile.keys import stock_schema
from cutpath.stockfile.read import boards_for, digest_of, read_stock, stock_of
from cutpath.stockfile.update import BEFORE, drafts_of, update_stock, updated_text, updating

RACK = """# what is on the rack
units = "in"      # as the tape reads
keep_over = "2'"

[[stock]]         # by the door
size = "2x12"
length = "12'"
quantity = 3      # counted in spring

# the short end
[[offcut]]
name = "A"
size = "2x12"
# knot near the end
length = 40
price = 5.00
defects = [
  [30, 33],
]

# the yard's list
[[price]]
size = "2x12"
length = "8'"
price = 21.50
"""


def rack(tmp_path: Path, text: str = RACK) -> Path:
    path = tmp_path / "rack.toml"
    path.write_bytes(text.encode())
    return path


def test_every_entry_is_read_with_its_place() -> None:
    stock = stock_of(tomllib.loads(RACK), "rack.toml")
    # 1 1/2 x 11 1/4 in dressed: PS 20, dry.
    door, left, yard = stock.boards
    assert (door.source, door.quantity, door.length, door.thickness) == ("stock[0]", 3, 144 * 25.4, 38.1)
    assert (left.offcut, left.quantity, left.price, left.defects) == ("A", 1, 5.0, ((762.0, 838.2),))
    assert (yard.source, yard.quantity, yard.price) == ("price[0]", None, 21.5)
    assert (stock.keep_over, stock.offcut_worth) == (609.6, 0.0)
    assert list(Draft202012Validator(stock_schema()).iter_errors(tomllib.loads(RACK))) == []


@pytest.mark.parametrize(
    ("text", "fault"),
    [
        ("offcut_worth = 1.5", "offcut_worth: 1.5 is not accepted: write a number, 0 to 1"),
        ("keep_ovr = 3", "keep_ovr: unknown key; did you mean keep_over?"),
        ("[[offcut]]\nsize = '2x12'\nlength = 40", "offcut[0].name: missing: what is written on it"),
        ("[[price]]\nsize = '2x12'\nlength = 96", "price[0].price: missing"),
        (
            "[[offcut]]\nname = 'A'\nsize = '2x12'\nlength = 40\n[[offcut]]\nname = 'A'\nsize = '2x12'\nlength = 50",
            'offcut[1].name: "A" is the name of offcut[0] too: give each its own, or write a quantity',
        ),
        (
            "[[offcut]]\nname = 'A'\nsize = '2x12'\nlength = 40\ndefects = [[30, 50]]",
            "offcut[0].defects[0]: ends at 50 in (4'-2\"), past the board's end at 40 in (3'-4\")",
        ),
        (
            "[[price]]\nsize = '2x12'\nlength = 96\nprice = 3\ngrain = 'free'",
            "price[0].grain: means nothing for a board",
        ),
        ("[[stock]", "is no TOML"),
    ],
)
def test_a_fault_is_told_with_its_key(tmp_path: Path, text: str, fault: str) -> None:
    with pytest.raises(JobFaults) as caught:
        read_stock(rack(tmp_path, text))
    assert any(line.startswith(f"{tmp_path / 'rack.toml'}: {fault}") for line in caught.value.lines)


def test_boards_are_taken_by_thickness_beside_those_that_a_job_states() -> None:
    stock = stock_of(tomllib.loads(RACK + '[[stock]]\nsize = [1, "11 1/4"]\nlength = 144\n'), "rack.toml")
    own = StockBoards("2x12", 38.1, 285.75, 285.75, 2438.4, None, None, ())
    assert [b.source for b in boards_for(stock, (own,), stated=False)] == ["stock[0]", "offcut[0]", "price[0]"]
    assert boards_for(stock, (own,), stated=True)[0] == own
    thick = replace(own, size="4x12", thickness=88.9)
    assert boards_for(stock, (thick,), stated=True) == (thick,)
    with pytest.raises(JobFaults, match="has no board as thick as 4x12"):
        boards_for(stock, (thick,), stated=False)


def test_sheets_are_taken_by_kind_and_grain() -> None:
    sheet = "kind = 'sheet'\nsize = [18, 1220]\nlength = 2440\n"
    text = f"units = 'mm'\n[[stock]]\n{sheet}[[stock]]\n{sheet}grain = 'free'\n"
    text += "[[stock]]\nsize = [18, 1220]\nlength = 2440\n"
    text += f"[[offcut]]\nname = 'S'\n{sheet}[[price]]\n{sheet}price = 40\n"
    stock = stock_of(tomllib.loads(text), "rack.toml")
    own = replace(stock.boards[0], source="", length=3000.0)
    assert [b.source for b in boards_for(stock, (own,), stated=True)] == ["", "stock[0]", "offcut[0]", "price[0]"]
    assert [b.source for b in boards_for(stock, (replace(own, grain="free"),), stated=True)] == ["", "stock[1]"]
    assert [b.source for b in boards_for(stock, (replace(own, kind="board"),), stated=True)] == ["", "stock[2]"]


@pytest.mark.parametrize("grain", ["along", "free"])
def test_an_offcut_of_a_sheet_goes_on_the_list_as_one(tmp_path: Path, grain: str) -> None:
    keys = f'kind = "sheet"\ngrain = "{grain}"\nsize = [18, 1220]\nlength = 2440\nquantity = 2\n'
    path = rack(tmp_path, f'units = "mm"\n[[stock]]\n{keys}')
    stock = read_stock(path)
    (sheet,) = stock.boards
    update_stock(path, stock, [sheet], [Kept(sheet, 900.0, 1540.0, "Deck, board 1")])
    again = read_stock(path).boards
    assert again[0] == replace(sheet, quantity=1)
    (left,) = again[1:]
    assert replace(sheet, length=900.0, quantity=1, offcut="Deck, board 1", source="offcut[0]") == left


def test_only_what_changes_is_changed(tmp_path: Path) -> None:
    path = rack(tmp_path)
    stock = read_stock(path)
    door, left, yard = stock.boards
    change = update_stock(path, stock, [door, door, left, yard], [Kept(door, 1000.0, 2657.6, "Deck, board 1")])
    assert (change.taken, change.added) == (3, ("Deck, board 1",))
    text = path.read_text()
    table = RACK[RACK.index("[[offcut]]") : RACK.index("\n# the yard's list")]
    kept = RACK.replace("quantity = 3 ", "quantity = 1 ").replace(table, "")
    assert text.startswith(kept)
    assert tomllib.loads(text[len(kept) :])["offcut"][0]["from"] == "Deck, board 1"
    assert (tmp_path / f"rack.toml{BEFORE}").read_text() == RACK
    assert sorted(p.name for p in tmp_path.iterdir()) == ["rack.toml", f"rack.toml{BEFORE}"]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("quantity = 3 ", "quantity = 2 "),
        ('"quantity"=0x3', '"quantity"=2'),
        ("quantity = +3", "quantity = 2"),
    ],
)
def test_a_quantity_is_changed_however_it_is_written(tmp_path: Path, before: str, after: str) -> None:
    # The offcut's note is one line, written over several, of which one looks like a heading.
    text = RACK.replace("quantity = 3 ", before).replace("price = 5.00", 'note = """\\\n[[stock]]\nquantity = 9\\\n"""')
    text = text.replace("[[stock]]\nquantity = 9", "[[stock]] \\\nquantity = 9 ")
    path = rack(tmp_path, text)
    stock = read_stock(path)
    update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == text.replace(before, after)


@pytest.mark.parametrize("newline", ["\n", "\r\n"])
@pytest.mark.parametrize("mark", ["", "\ufeff"])
def test_line_ends_and_byte_order_mark_stay(tmp_path: Path, newline: str, mark: str) -> None:
    path = rack(tmp_path, mark + RACK.replace("\n", newline))
    stock = read_stock(path)
    update_stock(path, stock, [], [Kept(stock.boards[0], 1000.0, 2657.6, "Deck")])
    data = path.read_bytes().decode()
    assert data.startswith(mark + RACK.replace("\n", newline))
    assert data.count("\n") == data.count(newline)


def test_inline_tables_are_refused_and_left_alone(tmp_path: Path) -> None:
    text = 'stock = [{size = "2x12", length = 144, quantity = 2}]\n'
    path = rack(tmp_path, text)
    stock = read_stock(path)
    with pytest.raises(OutputRefused, match="write each board and offcut as a table of its own"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == text and os.listdir(tmp_path) == ["rack.toml"]


def test_a_file_changed_meanwhile_is_left_alone(tmp_path: Path) -> None:
    path = rack(tmp_path)
    stock = read_stock(path)
    path.write_text(RACK + "# somebody else\n")
    with pytest.raises(OutputRefused, match="was changed since it was read"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == RACK + "# somebody else\n"


def test_two_exports_don_t_change_it_at_once(tmp_path: Path) -> None:
    path = rack(tmp_path)
    stock = read_stock(path)
    guard = tmp_path / ".rack.toml.lock"
    lock = take(guard)
    assert lock is not None
    with pytest.raises(OutputRefused, match="another export is changing it"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == RACK
    release(lock, guard)
    assert update_stock(path, stock, [stock.boards[0]], []).taken == 1
    assert not guard.exists()


@pytest.mark.parametrize("failing", range(6))
def test_a_failing_disk_leaves_the_file_whole(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int) -> None:
    path = rack(tmp_path)
    stock = read_stock(path)
    calls = iter(range(100))
    for name in ("fsync", "replace"):
        real = getattr(os, name)

        def perhaps(*args: object, real=real) -> object:  # type: ignore[no-untyped-def]
            if next(calls) == failing:
                raise OSError(28, "No space left on device")
            return real(*args)

        monkeypatch.setattr(os, name, perhaps)
    with pytest.raises(OutputRefused, match="No space left on device"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert next(calls) >= failing + 1
    assert path.read_text() == RACK
    assert {p.name for p in tmp_path.iterdir()} <= {"rack.toml", f"rack.toml{BEFORE}"}


def test_what_a_killed_update_left_is_cleared_by_the_next(tmp_path: Path) -> None:
    path = rack(tmp_path)
    for draft in (*drafts_of(path), tmp_path / ".rack.toml.lock"):
        draft.write_text("" if draft.suffix == ".lock" else "half")
    (tmp_path / ".rack.toml.original").write_text("mine")
    stock = read_stock(path)
    assert update_stock(path, stock, [stock.boards[0]], []).taken == 1
    assert {p.name for p in tmp_path.iterdir()} == {"rack.toml", f"rack.toml{BEFORE}", ".rack.toml.original"}


@pytest.mark.parametrize("mode", [0o444, 0o400])
def test_a_read_only_file_is_refused(tmp_path: Path, mode: int) -> None:
    path = rack(tmp_path)
    path.chmod(mode)
    stock = read_stock(path)
    with pytest.raises(OutputRefused, match="is read-only"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == RACK and stat.S_IMODE(path.stat().st_mode) == mode
    assert [p.name for p in tmp_path.iterdir()] == ["rack.toml"]


@pytest.mark.parametrize("mode", [0o600, 0o640, 0o664])
def test_owner_and_rights_are_kept(tmp_path: Path, mode: int) -> None:
    path = rack(tmp_path)
    path.chmod(mode)
    if hasattr(os, "chown") and os.getuid() == 0:
        os.chown(path, 1234, 2345)
    before = path.stat()
    stock = read_stock(path)
    update_stock(path, stock, [stock.boards[0]], [])
    for there in (path, tmp_path / f"rack.toml{BEFORE}"):
        after = there.stat()
        assert (after.st_uid, after.st_gid, after.st_mode) == (before.st_uid, before.st_gid, before.st_mode)


def test_an_owner_that_can_t_be_kept_is_a_reason_to_refuse(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = rack(tmp_path)
    stock = read_stock(path)

    def no(*arguments: object) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(os, "chown", no)
    real = Path.stat

    def of_another(self: Path, **more: bool) -> os.stat_result:
        found = real(self, **more)
        if self == path:
            values = list(found)
            values[stat.ST_UID] += 1
            return os.stat_result(values)
        return found

    monkeypatch.setattr(Path, "stat", of_another)
    with pytest.raises(OutputRefused, match="belongs to another user or group"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == RACK and [p.name for p in tmp_path.iterdir()] == ["rack.toml"]


def test_a_link_in_the_lock_s_place_is_not_followed(tmp_path: Path) -> None:
    path = rack(tmp_path)
    (tmp_path / ".rack.toml.lock").symlink_to(tmp_path / "elsewhere")
    for draft in drafts_of(path):
        draft.symlink_to(tmp_path / "mine")
    (tmp_path / "mine").write_text("mine")
    stock = read_stock(path)
    with pytest.raises(OutputRefused, match="no lock of cutpath's"):
        update_stock(path, stock, [stock.boards[0]], [])
    assert path.read_text() == RACK and not (tmp_path / "elsewhere").exists()
    (tmp_path / ".rack.toml.lock").unlink()
    update_stock(path, stock, [stock.boards[0]], [])
    assert (tmp_path / "mine").read_text() == "mine"


def test_a_file_edited_at_the_last_moment_is_left_alone(tmp_path: Path) -> None:
    path = rack(tmp_path)
    stock = read_stock(path)
    edited = RACK + "# somebody else\n"
    with (
        pytest.raises(OutputRefused, match="was changed since it was read"),
        updating(path, stock, [stock.boards[0]], []) as held,
    ):
        path.write_text(edited)
        held.write()
    assert path.read_text() == edited and [p.name for p in tmp_path.iterdir()] == ["rack.toml"]


def test_more_than_there_are_can_t_be_taken() -> None:
    stock = stock_of(tomllib.loads(RACK), "rack.toml")
    with pytest.raises(OutputRefused, match=r"offcut\[0\]: 2 were used where there are 1"):
        updated_text(RACK, stock, [stock.boards[1]] * 2, [])


def test_offcuts_are_measured_down_to_the_tape_s_marks() -> None:
    stock = stock_of(tomllib.loads(RACK), "rack.toml")
    door = stock.boards[0]
    boards = [Board(door, (), door.length - left, left) for left in (24.0 * 25.4 + 9.5, 24 * 25.4 + 9.6, 1000.0)]
    kept = offcuts_to_keep(boards, stock, 9.525, "Deck")
    # 9.525 mm go to the saw: 0.025 mm under 24 in is too short, 0.075 mm over it is 24 in, 990.475 mm is 38 15/16 in.
    assert [k.length / 25.4 for k in kept] == pytest.approx([24.0, 38.9375], abs=1e-9)
    assert [k.left_of for k in kept] == ["Deck, board 2", "Deck, board 3"]
    metric = replace(stock, units="mm", keep_over=500.0)
    assert [k.length for k in offcuts_to_keep(boards, metric, 9.525, "Deck")] == [609.0, 609.0, 990.0]


@st.composite
def racks(draw: st.DrawFn) -> str:
    lines = [draw(st.sampled_from(["", "# top\n", 'units = "mm"\n\n']))]
    for number in range(draw(st.integers(0, 6))):
        table = draw(st.sampled_from(["stock", "offcut", "price"]))
        keys = [
            "size = '2x12'  # as bought",
            f"length = {draw(st.integers(800, 3000))}" + " " * draw(st.integers(0, 2)),
        ]
        if table == "offcut":
            keys.append(f"name = '{number}'")
        if table == "price":
            keys.append("price = 3")
        elif draw(st.booleans()) or table == "stock":
            keys.append(f"quantity={draw(st.integers(1, 4))}# how many")
        keys = draw(st.permutations(keys))
        notes = st.sampled_from(["", "# a note\n", "\n"])
        lines.append(f"{draw(notes)}[[ {table} ]] # {number}\n" + "".join(f"{draw(notes)}{key}\n" for key in keys))
        lines.append(draw(st.sampled_from(["", "\n", "# after it\n\n"])))
    return "".join(lines)


@settings(max_examples=80, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.data())
def test_any_file_reads_back_as_what_is_left(data: st.DataObject) -> None:
    text = data.draw(racks())
    if 'units = "mm"' not in text:
        text = 'units = "mm"\n' + text
    stock = replace(stock_of(tomllib.loads(text), "rack.toml"), digest=digest_of(text))
    used: list[StockBoards] = []
    for board in stock.boards:
        used += [board] * data.draw(st.integers(0, board.quantity or 2))
    kept = [Kept(b, 700.0, b.length - 700.0, "Deck, board 1") for b in stock.boards[: data.draw(st.integers(0, 2))]]
    new, change = updated_text(text, stock, used, kept)
    again = stock_of(tomllib.loads(new), "rack.toml").boards
    counted = sum(b.quantity or 0 for b in stock.boards)
    assert sum(b.quantity or 0 for b in again) == counted - change.taken + len(kept)
    assert change.taken == sum(b.quantity is not None for b in used)
    if not used and not kept:
        assert new == text
    assert new.count("# after it") == text.count("# after it") and new.count("# top") == text.count("# top")
