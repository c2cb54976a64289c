"""What is chosen is what holds: riser counts, boards, and an answer where boards are missing. Invented jobs."""

import json
from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.job.read import job_of
from cutpath.plan.mends import mends_of
from cutpath.plan.solved import solved
from cutpath.plan.stages import plan
from tests.jobs import job_with

IN = 25.4
#: Of the counts that fit, 7 has its 2r + t nearest 620 mm, and a throat of 4.82 in; 6 leaves 5.17 in.
LOADING_DOCK = {
    "site": {"total_rise": "44 1/4"},
    "stair": {"unit_run": "10 3/4"},
    "stock": [{"size": "2x12", "length": 192}],
}


def test_a_count_whose_throat_holds_goes_before_one_whose_does_not() -> None:
    found = plan(job_of(LOADING_DOCK).job)
    assert found.stair.risers == 6 and found.design.holds
    assert found.design.part.throat == pytest.approx(5.17 * IN, abs=0.01 * IN)
    assert found.choice.reason.startswith("its throat, bearing and ground hold, which those of 7 don't")
    rows = {row.candidate.risers: row.failing for row in solved(job_of(LOADING_DOCK).job).rows}
    assert rows[6] == () and rows[7] == ("throat",)


def test_where_no_count_holds_the_nearest_to_comfort_is_taken_and_it_is_said() -> None:
    thick = {**LOADING_DOCK, "stringer": {"throat_least": 6}}
    found = plan(job_of(thick).job)
    assert found.stair.risers == 7 and found.design.failing == ("throat",)
    assert found.choice.reason.endswith("no count that fits has throat, bearing and ground hold")


def test_a_header_that_bears_the_whole_heel_counts_like_a_throat() -> None:
    # The heel of 7 risers reaches 15.5 in below the floor, that of 6 less.
    bearing = {**LOADING_DOCK, "stringer": {"throat_least": "4 3/4"}}
    assert plan(job_of(bearing).job).stair.risers == 7
    reach = {
        n: plan(job_of({**bearing, "stair": {"unit_run": "10 3/4", "risers": n}}).job).design.stringer.heel
        + plan(job_of({**bearing, "stair": {"unit_run": "10 3/4", "risers": n}}).job).stair.unit_rise
        + 1.5 * IN
        for n in (6, 7)
    }
    between = sum(reach.values()) / 2 / IN
    held, other = sorted(reach, key=lambda n: reach[n])
    shallow = {**bearing, "stair": {"unit_run": "10 3/4", "header_depth": round(between, 3)}}
    found = plan(job_of(shallow).job)
    assert found.stair.risers == held != other and found.design.holds


def test_another_count_is_among_what_mends_a_throat() -> None:
    asked = {**LOADING_DOCK, "stair": {"unit_run": "10 3/4", "risers": 7}}
    found = plan(job_of(asked).job)
    assert found.design.failing == ("throat",)
    (mend,) = (m for m in mends_of(found) if m.change.startswith("another count"))
    assert mend.change == "another count: stair.risers 6" and mend.enough
    again = plan(job_of({**LOADING_DOCK, "stair": {"unit_run": "10 3/4", "risers": 6}}).job)
    assert again.design.part.throat == pytest.approx(mend.throat)


def test_the_cheaper_board_that_fails_its_throat_is_not_taken_while_the_other_holds() -> None:
    # The clear width fails either way, and must not hide that the 2x10's throat fails too.
    shed = {
        "site": {"total_rise": "35 3/8"},
        "stair": {"unit_run": 10, "clear_width": 30},
        "stringer": {"count": 2},
        "stock": [
            {"size": "2x10", "length": 96, "price": 31.4},
            {"size": "2x12", "length": 192, "price": 52.75},
        ],
    }
    found = plan(job_of(shed).job)
    assert found.design.failing == ("clear-width",)
    assert {board.stock.size for board in found.layout.boards} == {"2x12"}


@pytest.fixture
def no_boards(tmp_path: Path) -> Path:
    path = tmp_path / "job.toml"
    path.write_text(
        '[site]\ntotal_rise = 42\n[stringer]\nthroat_least = 4\n[[stock]]\nsize = "2x12"\nlength = 96\nquantity = 1\n'
    )
    return path


def test_check_and_site_answer_without_boards_enough_and_end_with_2(no_boards: Path, capsys) -> None:
    for command, said in (("check", "throat   "), ("site", "Tape sheet")):
        assert run([command, str(no_boards)]) == 2
        out, err = capsys.readouterr()
        assert said.lower() in out.lower(), command
        assert len(err.splitlines()) == 1 and "the boards in stock hold 1 of the 3 parts" in err
        assert run([command, str(no_boards), "--json"]) == 2
        assert json.loads(capsys.readouterr().out)
    assert run(["nest", str(no_boards)]) == 2, "a layout can't be told without boards"
    assert capsys.readouterr().out == ""


def test_check_without_any_board_left_tells_the_stair_on_those_that_there_were(no_boards: Path, capsys) -> None:
    no_boards.write_text(no_boards.read_text().replace("quantity = 1", "quantity = 0"))
    assert run(["check", str(no_boards)]) == 2
    out, err = capsys.readouterr()
    assert "11.25 in (11 1/4) wide" in out and "every quantity is 0" in err


def test_a_part_too_long_for_any_board_is_told_after_the_stair(capsys, tmp_path: Path) -> None:
    path = tmp_path / "short.toml"
    path.write_text('[site]\ntotal_rise = 42\n[[stock]]\nsize = "2x12"\nlength = 40\n')
    assert run(["check", str(path)]) == 2
    out, err = capsys.readouterr()
    assert "risers" in out and "fits no board in stock" in err


def test_a_demo_with_its_count_free_keeps_its_checks() -> None:
    found = plan(job_with("boat-landing", stair={"risers": None, "unit_rise": None}).job)
    assert found.design.holds
