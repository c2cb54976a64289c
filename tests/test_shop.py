"""Several jobs on shared boards, and a stock file that is brought up to date."""

import json
import re
import tomllib
from pathlib import Path

import pytest

from cutpath.cli.main import run
from tests.jobs import FIXTURES

DEMO = (FIXTURES / "orchard-steps.toml").read_text()
RACK = """units = "in"
keep_over = 24

# by the door
[[stock]]
size = "2x12"
length = "16'"
quantity = 3
price = 46.10

[[offcut]]
name = "A7"
size = "2x12"
length = 70
"""


@pytest.fixture
def yard(tmp_path: Path) -> Path:
    (tmp_path / "a.toml").write_text(DEMO)
    other = DEMO.replace('"Orchard steps"', '"Pump house"').replace("count = 3", "count = 2")
    (tmp_path / "b.toml").write_text(other)
    (tmp_path / "thin.toml").write_text(
        other.replace('"Pump house"', '"Thin"').replace("throat_least = 5\n", "throat_least = 6\n")
    )
    (tmp_path / "rack.toml").write_text(RACK)
    return tmp_path


def call(capsys, *arguments: object) -> tuple[int, str, str]:
    status = run([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in err
    return status, out, err


@pytest.mark.slow
def test_parts_of_two_stairs_share_boards_and_say_whose_they_are(yard: Path, capsys) -> None:
    status, _, err = call(
        capsys, "export", yard / "a.toml", yard / "b.toml", "--stock", yard / "rack.toml", "-o", yard / "out"
    )
    assert (status, err) == (0, "")
    result = json.loads((yard / "out" / "result.json").read_text())
    assert [job["job"]["job"]["name"] for job in result["jobs"]] == ["Orchard steps", "Pump house"]
    names = [p["name"] for board in result["nest"]["boards"] for p in board["parts"]]
    assert names.count("Orchard steps stringer") == 3 and names.count("Pump house stringer") == 2
    mixed = [b for b in result["nest"]["boards"] if len({p["name"] for p in b["parts"]}) == 2]
    assert mixed, "the two stairs share a board"
    assert {p.name for p in (yard / "out" / "parts").iterdir()} == {
        "orchard-steps-stringer.dxf",
        "orchard-steps-tread-board-notched.dxf",
        "pump-house-stringer.dxf",
        "pump-house-tread-board-notched.dxf",
    }
    for job in result["jobs"]:
        assert all(check["ok"] for check in job["checks"] if check["required"])


@pytest.mark.slow
def test_shared_boards_cost_no_more_than_separate_ones(yard: Path, capsys) -> None:
    def cost(*jobs: str) -> float:
        return json.loads(call(capsys, "nest", *(yard / j for j in jobs), "--json")[1])["nest"]["cost"]

    assert cost("a.toml", "b.toml") <= cost("a.toml") + cost("b.toml")


@pytest.mark.slow
def test_one_bad_job_is_named_and_the_others_go_on_when_asked(yard: Path, capsys) -> None:
    jobs = (yard / "a.toml", yard / "thin.toml")
    status, _, err = call(capsys, "export", *jobs, "-o", yard / "out")
    assert status == 1 and "thin.toml" in err and not (yard / "out").exists()
    status, _, err = call(capsys, "export", *jobs, "-o", yard / "out", "--go-on")
    assert status == 1 and "thin.toml" in err
    names = {p.name for p in (yard / "out").rglob("*.dxf")}
    assert "orchard-steps-stringer.dxf" in names and "thin-stringer.dxf" not in names


@pytest.mark.slow
def test_a_stock_file_is_used_and_brought_up_to_date_with_a_copy_of_what_it_was(yard: Path, capsys) -> None:
    rack = yard / "rack.toml"
    arguments = ("export", yard / "a.toml", yard / "b.toml", "--stock", rack, "-o", yard / "out")
    assert call(capsys, *arguments)[0] == 0
    assert rack.read_text() == RACK, "only when told"
    status, out, _ = call(capsys, *arguments, "--update-stock")
    assert status == 0 and "rack.toml.before" in out
    assert (yard / "rack.toml.before").read_text() == RACK
    now = rack.read_text()
    assert "# by the door" in now, "the user's own words stay"
    result = json.loads((yard / "out" / "result.json").read_text())
    taken = sum(b["length"] == 192 for b in result["nest"]["boards"])
    assert taken and f"quantity = {3 - taken}" in now
    offcuts = {entry["name"] for entry in tomllib.loads(now)["offcut"]}
    assert ("A7" in offcuts) == all(b["length"] != 70 for b in result["nest"]["boards"])


def test_a_faulty_stock_file_is_one_plain_line_and_nothing_is_written(yard: Path, capsys) -> None:
    rack = yard / "rack.toml"
    rack.write_text(RACK.replace('size = "2x12"', 'size = "2x13"', 1))
    status, _, err = call(capsys, "export", yard / "a.toml", "--stock", rack, "-o", yard / "out", "--update-stock")
    assert status == 2 and len(err.splitlines()) == 1 and "stock[0].size" in err
    assert not (yard / "out").exists() and not (yard / "rack.toml.before").exists()


def test_jobs_for_different_tools_are_not_cut_together(yard: Path, capsys) -> None:
    text = (yard / "b.toml").read_text()
    (yard / "b.toml").write_text(text.replace('width = "3/8"', 'width = "1/2"'))
    status, _, err = call(capsys, "nest", yard / "a.toml", yard / "b.toml")
    assert status == 2 and len(err.splitlines()) == 1 and "b.toml" in err and "cutter" in err


@pytest.mark.slow
def test_packet_counts_small_parts_and_the_yard_is_told_which_offcut(yard: Path, capsys) -> None:
    for name in ("a.toml", "b.toml"):
        with (yard / name).open("a") as job:
            job.write("\n[extras]\npitch_gauge = true\nsill_plate = 2\n")
    jobs = (yard / "a.toml", yard / "b.toml")
    assert call(capsys, "export", *jobs, "--stock", yard / "rack.toml", "-o", yard / "out")[0] == 0
    boards = json.loads((yard / "out" / "result.json").read_text())["nest"]["boards"]
    packet = (yard / "out" / "packet.html").read_text()
    cover = re.search(r"<caption>Jobs that share these boards</caption>.*?<tbody>(.*?)</tbody>", packet, re.DOTALL)
    assert cover
    counts = [int(n) for row in cover[1].split("</tr>") for n in re.findall(r'<td[^>]*><data value="(\d+)">', row)[:1]]
    assert sum(counts) == sum(len(board["parts"]) for board in boards), "three and two stringers, and small parts"
    assert sum(counts) > 5, "small parts are counted too"
    (used,) = (k for k, board in enumerate(boards, 1) if board["length"] == 70)
    assert f'\n{used},boards/0{used}.dxf,"2x12, offcut A7",' in (yard / "out" / "cut-list.csv").read_text()
    assert "2x12, offcut A7." in (yard / "out" / "boards" / f"0{used}.dxf").read_text()
    assert "2x12, offcut A7, " in (yard / "out" / "pictures" / f"board-0{used}.svg").read_text()
    assert re.search(r"2x12 × .{0,80}, offcut <bdi>A7</bdi>", packet), "in the cut list"
    assert f"Board {used} of {len(boards)}: 2x12, offcut <bdi>A7</bdi>" in packet


@pytest.mark.slow
@pytest.mark.parametrize("job", sorted(FIXTURES.glob("*.toml")), ids=lambda p: p.stem)
def test_one_job_is_several_of_one(job: Path) -> None:
    from functools import partial

    from cutpath.job.read import read_job
    from cutpath.plan.stages import plan, plan_together
    from cutpath.plan.together import Entrant
    from cutpath.rules.load import load_rules
    from cutpath.units import show

    read = read_job(job).job
    rules, shown = load_rules(read.stair.rules), partial(show, unit=read.units)
    together = plan_together([Entrant(str(job), read, rules, shown)], read.stock)
    assert together.plans == (together.whole,), "no second plan of the same boards"
    assert together.whole.design.bending == plan(read, rules, shown).design.bending
    assert together.whole == plan(read, rules, shown)
