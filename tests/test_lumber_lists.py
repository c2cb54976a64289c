"""One list to cut and one to buy: against the stair's pieces, and of jobs and a stock file that share lumber."""

from __future__ import annotations

import csv
import io
import json
import tomllib
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.job.read import job_from_text
from cutpath.job.values import Job
from cutpath.nest import PartFitsNoBoard
from cutpath.pieces.ends import ends_words
from cutpath.plan.laid import verify
from cutpath.plan.lumber_values import Lumber, numbered
from cutpath.plan.stages import plan, plan_together
from cutpath.plan.together import Entrant
from cutpath.plan.values import Plan
from cutpath.rules.load import load_rules
from cutpath.tables.cut_list import cut_list
from cutpath.tables.result_lumber import lumber_result, pieces_result
from cutpath.units import shown_in, to_nearest
from tests.lumber import line
from tests.piece_jobs import RISERS, STEPS, TREADS

BASE = STEPS.format(riser=0.75, top="one-below", stringer="")
RAIL = "[rail]\n"
PRICED = "".join(
    f'[[lumber]]\nsize = "{size}"\nlength = "{length}"\nprice = {price}\n'
    for size, length, price in (
        ("2x6", "12'", 14.8),
        ("2x6", "8'", 9.3),
        ("1x10", "10'", 11.0),
        ("4x4", "10'", 16.5),
        ("2x4", "10'", 7.9),
        ("2x2", "8'", 3.1),
    )
)
WHOLE = BASE + "price = 40\n" + TREADS + RISERS + RAIL + PRICED


def named(text: str, name: str) -> str:
    return f'[job]\nname = "{name}"\n{text}'


def planned(text: str) -> Plan:
    found = plan(job_from_text(text).job)
    verify(found)
    return found


def together(*jobs: Job) -> tuple[Plan, Lumber]:
    entrants = [Entrant(job.name, job, load_rules(job.stair.rules), shown_in(job.units)) for job in jobs]
    whole = plan_together(entrants, jobs[0].stock).whole
    verify(whole)
    assert whole.lumber is not None
    return whole, whole.lumber


def section(found: Plan, label: str) -> list[tuple[float, int]]:
    """Of a section's lumber the lengths in inches and how many pieces each holds."""
    assert found.lumber is not None
    (one,) = (s for s in found.lumber.sections if s.size.label(found.job.units) == label)
    assert one.layout.bound == one.layout.value
    return [(round(board.stock.length / 25.4, 6), len(board.parts)) for board in one.layout.boards]


@pytest.fixture(scope="module")
def whole() -> Plan:
    return planned(named(WHOLE, "Porch"))


def test_every_piece_is_on_the_list_once_and_on_lumber_of_its_section(whole: Plan) -> None:
    lumber = whole.lumber
    assert lumber is not None and whole.design.pieces is not None
    assert Counter(line.piece for line in lumber.lines) == Counter(whole.design.pieces.all)
    on = Counter(part.name for board in lumber.boards for part in board.parts)
    assert on == {line.label: line.piece.count for line in lumber.lines}
    for each in lumber.sections:
        assert {line.piece.stock for line in each.lines} == {each.size}
        assert {board.stock.size for board in each.layout.boards} == {each.size.name}
        lengths = [line.piece.length for line in each.lines]
        assert lengths == sorted(lengths, reverse=True)
    areas = [each.size.thickness * each.size.width for each in lumber.sections]
    assert areas == sorted(areas, reverse=True)


def test_lumber_is_chosen_as_it_would_be_by_hand(whole: Plan) -> None:
    """Two treads of 40 in 8 ft at 9.30 are cheaper each than three in 12 ft; three risers and two cuts pass 10 ft."""
    assert section(whole, "2x6") == [(96.0, 2)] * 5
    assert section(whole, "1x10") == [(120.0, 2)] * 3


def test_the_list_to_buy_is_all_that_is_cut_and_its_sum(whole: Plan) -> None:
    lumber = whole.lumber
    assert lumber is not None
    found = lumber_result(whole)["lumber"]
    bought = Counter({(b["stock"], b["length"], b["price"]): b["quantity"] for b in found["to_buy"]})
    boards = (*whole.layout.boards, *lumber.boards)
    cut = Counter((b.stock.size, round(b.stock.length / 25.4, 6), b.stock.price) for b in boards)
    assert bought == cut
    assert found["total"] == pytest.approx(sum(price * n for (_, _, price), n in cut.items()))
    # Hangers have no price, and are in no sum.
    assert [words.split()[:2] for words in found["besides"]] == [["3", "hangers"]]


def test_without_prices_what_has_none_is_named_and_there_is_no_sum() -> None:
    found = planned(BASE + TREADS)
    bill = lumber_result(found)["lumber"]
    assert bill["total"] is None and bill["sections"][0]["yard_lengths"]
    from cutpath.plan.to_buy import to_buy
    from cutpath.report.lumber import sum_lines

    assert sum_lines(to_buy(found), "in")[0].startswith("no sum, as no price is stated of 2x12 x 192 in (16'-0\"), 2x6")


def test_the_cut_list_has_a_row_a_piece_after_the_stringers(whole: Plan) -> None:
    lumber = whole.lumber
    assert lumber is not None
    rows = list(csv.DictReader(io.StringIO(cut_list(whole))))
    items = [row["item"] for row in rows]
    assert items.index("piece") > max(i for i, item in enumerate(items) if item == "part")
    pieces = [row for row in rows if row["item"] == "piece"]
    assert Counter(row["name"] for row in pieces) == {line.label: line.piece.count for line in lumber.lines}
    lines = {line.label: line.piece for line in lumber.lines}
    for row in pieces:
        piece = lines[row["name"]]
        assert float(row["length"]) * 25.4 == pytest.approx(piece.length)
        assert float(row["to"]) - float(row["from"]) == pytest.approx(float(row["length"]))
        assert row["ends"] == ends_words(piece)
        assert float(row["width"]) * 25.4 == pytest.approx(piece.section[1])
    for number in range(1, len(lumber.boards) + 1):
        own = [row for row in rows if row["board"] == f"L{number}"]
        assert max(float(row["to"]) for row in own) == float(own[0]["board_length"])


def test_a_job_without_other_pieces_has_no_word_of_them() -> None:
    found = planned(BASE)
    assert found.lumber is None and pieces_result(found) == lumber_result(found) == {}
    assert cut_list(found).splitlines()[0].endswith(",angle,unit")


def test_names_that_spreadsheets_take_for_formulas_are_texts() -> None:
    rows = list(csv.DictReader(io.StringIO(cut_list(planned(named(BASE + TREADS, "=cmd()"))))))
    assert {row["name"][:6] for row in rows if row["item"] == "piece"} == {"'=cmd("}


def test_pieces_of_the_stringers_section_come_from_what_their_boards_leave() -> None:
    """Three stringers leave 10 feet and more of their last 16 foot board; three treads of 40 go in there."""
    text = BASE.replace('length = "16\'"', 'length = "20\'"') + '[treads]\nsize = "2x12"\n'
    found = planned(text)
    assert found.lumber is not None
    reused = [board for board in found.lumber.boards if board.stock.source.startswith("layout[")]
    assert reused and found.lumber.reused <= set(range(len(found.layout.boards)))
    for board in reused:
        of = found.layout.boards[int(board.stock.source[7:-1])]
        assert board.stock.length == pytest.approx(of.offcut - found.job.loose_gap - found.lumber.saw.width)
    (bill,) = (b for b in lumber_result(found)["lumber"]["to_buy"] if b["length"] == 240)
    assert bill["quantity"] == len(found.layout.boards)
    drilled = planned(text + '[machine]\nbed = [60, 30]\nindexing = "holes"\n')
    assert drilled.lumber is not None and not drilled.lumber.reused


def test_a_piece_too_long_for_any_lumber_is_one_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    text = BASE + TREADS + '[[lumber]]\nsize = "2x6"\nlength = 36\n'
    with pytest.raises(PartFitsNoBoard):
        planned(text)
    job = tmp_path / "porch.toml"
    job.write_text(text)
    assert run(["export", str(job), "-o", str(tmp_path / "out")]) == 2
    told = capsys.readouterr().err.strip()
    assert "porch tread board: 40 in (3'-4\") long, and the longest lumber of 2x6 is 36 in (3'-0\")" in told
    assert told.count("\n") == 0 and not (tmp_path / "out").exists()


def test_lumber_of_another_section_is_never_used() -> None:
    found = planned(BASE + TREADS + '[[lumber]]\nsize = "2x8"\nlength = "16\'"\nprice = 1\n')
    assert found.lumber is not None
    assert {board.stock.size for board in found.lumber.boards} == {"2x6"}


def test_three_jobs_share_lumber_and_each_piece_says_whose_it_is() -> None:
    jobs = [job_from_text(named(BASE + '[treads]\nsize = "2x6"\nboards = 1\n' + PRICED, name)).job for name in "ABC"]
    whole, lumber = together(*jobs)
    # Five treads alone are two in each of 8 ft and three in 12 ft; fifteen are twelve in 8 ft and three in 12 ft.
    assert [planned_lumber(job).sections[0].layout.value for job in jobs] == pytest.approx([24.1] * 3)
    assert lumber.sections[0].layout.value == pytest.approx(6 * 9.3 + 14.8)
    assert any(len({part.name[0] for part in board.parts}) > 1 for board in lumber.boards)
    pieces = pieces_result(whole)["pieces"]
    assert [piece["job"] for piece in pieces] == ["A", "B", "C"]
    assert pieces_result(whole, "B")["pieces"] == [pieces[1]]


def test_a_job_of_stringers_alone_beside_another_has_no_list() -> None:
    whole, lumber = together(job_from_text(named(BASE, "A")).job, job_from_text(named(BASE, "B") + TREADS).job)
    assert {line.job for line in lumber.lines} == {"B"}
    assert pieces_result(whole, "A") == {} and len(pieces_result(whole, "B")["pieces"]) == 1


def planned_lumber(job: Job) -> Lumber:
    found = plan(job).lumber
    assert found is not None
    return found


RACK = """units = "in"
keep_over = 24
[[stock]]
size = "2x12"
length = "16'"
quantity = 4
[[stock]]
size = "2x6"
length = "12'"
quantity = 3
[[offcut]]
name = "old tread"
size = "2x6"
length = 83
[[price]]
size = "2x6"
length = "8'"
price = 9.30
"""


@pytest.mark.slow
def test_a_stock_file_gives_lumber_takes_back_offcuts_and_is_put_back(tmp_path: Path) -> None:
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text(BASE.split("[[stock]]")[0] + TREADS)
    rack = tmp_path / "rack.toml"
    rack.write_text(RACK)
    args = [str(tmp_path / "a.toml"), str(tmp_path / "b.toml"), "-o", str(tmp_path / "out"), "--stock", str(rack)]
    assert run(["export", *args, "--update-stock"]) == 0
    result = json.loads((tmp_path / "out" / "result.json").read_text())
    used: Counter[str] = Counter(b["stock"] for b in result["nest"]["boards"])
    lengths = list(result["lumber"]["boards"])
    assert any(b.get("from_offcut") == "old tread" for b in lengths)
    after: dict[str, Any] = tomllib.loads(rack.read_text())
    assert after["stock"][0]["quantity"] == 4 - used["2x12"]
    taken = sum(b["length"] == 144 and "from_offcut" not in b for b in lengths)
    assert after["stock"][1]["quantity"] == 3 - taken and taken
    kept = [b["offcut"] - 0.125 for b in lengths if b["offcut"] - 0.125 >= 24]
    new = [o["length"] for o in after.get("offcut", ()) if "lumber" in o["name"]]
    assert sorted(new) == pytest.approx(sorted(kept), abs=1 / 16)
    assert {job["name"] for job in result["jobs"]} == {"a", "b"}
    assert all({p["job"] for p in job["pieces"]} == {job["name"]} for job in result["jobs"])
    assert "Pieces" in (tmp_path / "out" / "sites" / "a" / "packet.html").read_text()
    assert run(["give-back", str(tmp_path / "out"), "--stock", str(rack)]) == 0
    assert tomllib.loads(rack.read_text()) == tomllib.loads(RACK)


def test_an_offcut_of_a_stringers_board_that_is_cut_up_is_not_put_on_the_rack(tmp_path: Path) -> None:
    (tmp_path / "a.toml").write_text(BASE.split("[[stock]]")[0] + '[treads]\nsize = "2x12"\n')
    rack = tmp_path / "rack.toml"
    rack.write_text('units = "in"\nkeep_over = 24\n[[stock]]\nsize = "2x12"\nlength = "10\'"\nquantity = 9\n')
    args = [str(tmp_path / "a.toml"), "-o", str(tmp_path / "out"), "--stock", str(rack), "--update-stock"]
    assert run(["export", *args]) == 0
    result = json.loads((tmp_path / "out" / "result.json").read_text())
    cut_up = {b["of_board"] for b in result["lumber"]["boards"] if "of_board" in b}
    assert cut_up
    names = {offcut["name"] for offcut in tomllib.loads(rack.read_text()).get("offcut", ())}
    assert not names & {f"a, board {number}" for number in cut_up}


def test_the_packet_has_a_page_for_the_saw_and_the_list_to_buy_on_its_cover(whole: Plan) -> None:
    from cutpath.export.one import export_files

    made = export_files(whole, {}, (), with_cuts=True)
    html = made.files["packet.html"].decode()
    cover, rest = html.split('<section id="drawings"')
    assert "To buy or take" in cover and "Boards and lumber together" in cover
    saw = rest.split('<section id="saw"')[1].split("</section>")[0]
    assert whole.lumber is not None
    for one in whole.lumber.lines:
        assert f">{to_nearest(one.piece.length, 'in', 25.4 / 16)}<" in saw
        assert ends_words(one.piece) in saw
    assert saw.count("<figure") == sum(path.startswith("pictures/lumber-") for path in made.files) > 0


@pytest.mark.slow
def test_a_site_reads_its_own_pieces_in_its_own_unit() -> None:
    from cutpath.export.together import export_together

    reads = [job_from_text(named(BASE, name) + TREADS) for name in "AB"]
    reads[1] = replace(reads[1], job=replace(reads[1].job, units="mm"))
    entrants = [Entrant(r.job.name, r.job, load_rules(r.job.stair.rules), shown_in(r.job.units)) for r in reads]
    found = plan_together(entrants, reads[0].job.stock)
    files = export_together(found, [r.values for r in reads], [(), ()]).files
    page = files["sites/b/packet.html"].decode().split('<section id="pieces"')[1].split("</section>")[0]
    assert "lengths in millimetres" in page and ">1016<" in page and "<bdi>A</bdi>" not in page


def test_a_notched_tread_names_its_file_and_like_notes_stand_once() -> None:
    from cutpath.export.one import export_files

    found = planned(BASE + TREADS + '[rail]\nplace = "inside"\n')
    packet = export_files(found, {}, (), with_cuts=True).files["packet.html"].decode()
    saw = packet.split('<section id="saw"')[1].split("</section>")[0]
    shaped = [piece for piece in pieces_result(found)["pieces"] if piece["shaped"]]
    assert shaped and saw.count("cut to length, then notched by parts/") == len(shaped)
    assert saw.count("top cut to the rail") == 1


def test_the_page_shows_both_lists() -> None:
    from cutpath.page.answers import boards

    found = boards({"text": WHOLE}, Path("porch.toml"))
    cut, laid = found["lists"]
    assert [row[0] for row in cut["rows"]] == [str(n) for n in range(1, len(cut["rows"]) + 1)]
    assert any("boards and lumber" in text for text in laid["lines"])
    assert boards({"text": BASE}, Path("porch.toml"))["lists"] == []


@pytest.mark.parametrize(
    ("inches", "step", "expected"),
    [
        (52.5, 1 / 16, "52 1/2"),
        (52.49, 1 / 16, "52 1/2"),
        (0.05, 1 / 16, "1/16"),
        (7.3, 1 / 8, "7 1/4"),
        (3.0, 0.25, "3"),
    ],
)
def test_lengths_at_the_saw_are_fractions_to_the_users_nearest(inches: float, step: float, expected: str) -> None:
    assert to_nearest(inches * 25.4, "in", step * 25.4) == expected
    assert abs(float(sum(map(Fraction, expected.split()))) - inches) <= step / 2


def test_millimetres_at_the_saw_are_to_the_users_nearest() -> None:
    assert [to_nearest(1282.26, "mm", step) for step in (1.0, 0.5, 5.0)] == ["1282", "1282.5", "1280"]


def test_ends_are_told_by_their_angle_plane_and_lean() -> None:
    for ends, plane, parallel, expected in (
        ((0.0, 0.0), "face", True, "square"),
        ((35.0, 35.0), "edge", True, "35.0° bevel, both ends, parallel"),
        ((35.0, 35.0), "face", False, "35.0° mitre, both ends, opposed"),
        ((35.0, 0.0), "face", True, "35.0° mitre upper end, square lower end"),
        ((35.0, 20.0), "face", False, "35.0° mitre upper end, 20.0° mitre lower end, leaning apart"),
    ):
        assert ends_words(line("rail", 900.0, 1, ends, plane, parallel=parallel).piece) == expected  # type: ignore[arg-type]


def test_lumber_is_numbered_in_runs() -> None:
    assert [numbered(n) for n in ((1,), (1, 2), (1, 2, 3, 7))] == ["L1", "L1, L2", "L1 to L3, L7"]
