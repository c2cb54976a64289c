"""The command line as a user meets it: exit status, one line a fault, nothing half written."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from msgspec.structs import replace

from cutpath.cli.main import run
from cutpath.screen import table
from tests.lines import unwrapped

FIXTURES = Path(__file__).parent.parent / "fixtures"
DEMO = FIXTURES / "orchard-steps.toml"


def changed(tmp_path: Path, *edits: tuple[str, str], base: Path = DEMO) -> Path:
    """A job of the stringers alone, with words changed."""
    text, *_ = base.read_text().partition("\n[treads]")
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    path = tmp_path / "job.toml"
    path.write_text(text)
    return path


def call(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    status = run([str(a) for a in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in err
    return status, out, err


@pytest.mark.slow
@pytest.mark.parametrize("job", sorted(FIXTURES.glob("*.toml")), ids=lambda p: p.stem)
@pytest.mark.parametrize("command", ["solve", "check", "site", "nest"])
def test_tables_and_json_come_with_status_0(job: Path, command: str, capsys: pytest.CaptureFixture[str]) -> None:
    status, text, err = call(capsys, command, job)
    assert (status, err) == (0, "")
    assert "licensed professional" in text
    assert "safe" not in text.lower() and "approved" not in text.lower()
    status, data, err = call(capsys, command, job, "--json")
    assert (status, err) == (0, "")
    assert json.loads(data)


def test_export_of_the_demo_writes_what_result_json_lists(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import hashlib

    out = tmp_path / "out"
    status, text, err = call(capsys, "export", DEMO, "-o", out)
    assert (status, err) == (0, "")
    result = json.loads((out / "result.json").read_text())
    written = {p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file()}
    assert written == {f["path"] for f in result["files"]} | {"result.json"}
    for file in result["files"]:
        assert hashlib.sha256((out / file["path"]).read_bytes()).hexdigest() == file["sha256"]
        assert file["path"] in text
    assert {b["file"] for b in result["nest"]["boards"]} <= written
    assert sum(len(b["parts"]) for b in result["nest"]["boards"]) == 3
    assert result["schema_version"] == 3


def test_result_holds_the_names_that_outside_checks_read(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call(capsys, "export", DEMO, "-o", tmp_path / "out")
    result = json.loads((tmp_path / "out" / "result.json").read_text())
    stair, stringer, nest = result["stair"], result["stringer"], result["nest"]
    assert {
        "risers",
        "treads",
        "unit_rise",
        "unit_run",
        "total_rise",
        "total_run",
        "pitch_deg",
        "foot",
        "pad_reveal",
    } <= (stair.keys())
    assert stair["foot"] == {"out": stair["total_run"], "down": stair["total_rise"]}
    assert {"board_width", "length", "throat", "notches", "heel", "seat_bearing", "sill_depth", "outline"} <= (
        stringer.keys()
    )
    assert [n["n"] for n in stringer["notches"]] == [2, 3, 4, 5]
    assert stringer["throat"] == min(n["throat"] for n in stringer["notches"])
    assert stringer["outline"][0] != stringer["outline"][-1]
    for check in result["checks"]:
        assert {"id", "ok", "required", "value", "least", "most", "unit", "source", "note"} == check.keys()
    limits = {check["id"]: (check["least"], check["most"]) for check in result["checks"]}
    # IRC 2021 R311.7.5: rise at most 7 3/4 in, going at least 10 in.
    assert limits["rise"] == (None, 7.75) and limits["run"] == (10, None)
    assert {"boards", "bought", "cost", "yield", "bound"} <= nest.keys()
    for board in nest["boards"]:
        assert {"file", "stock", "length", "width", "parts", "used", "offcut"} <= board.keys()
        for part in board["parts"]:
            assert {"name", "x", "y", "rotated"} <= part.keys()
    assert stair["unit_rise"] == 7.25, "written so that 7 1/4 reads 7.25"


@pytest.mark.slow
def test_same_job_gives_the_same_bytes_in_another_process(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call(capsys, "export", DEMO, "-o", tmp_path / "a")
    command = [sys.executable, "-m", "cutpath", "export", str(DEMO), "-o", str(tmp_path / "b")]
    subprocess.run(command, check=True, capture_output=True, env={"PYTHONHASHSEED": "7", "PATH": ""})
    a = {p.relative_to(tmp_path / "a"): p.read_bytes() for p in (tmp_path / "a").rglob("*") if p.is_file()}
    b = {p.relative_to(tmp_path / "b"): p.read_bytes() for p in (tmp_path / "b").rglob("*") if p.is_file()}
    assert a == b


@pytest.mark.slow
def test_thin_throat_ends_with_1_and_says_what_would_mend_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = changed(tmp_path, ("throat_least = 5\n", 'throat_least = "5 3/8"\n'))
    status, text, _ = call(capsys, "check", job)
    assert status == 1
    assert "FAILS" in text and "wider stock" in text and "lower rise" not in text.split("wider stock")[0]
    _, data, _ = call(capsys, "check", job, "--json")
    mends = json.loads(data)["mends"]
    assert any(m["enough"] and m["throat"] >= 5.375 - 1e-6 for m in mends)
    out = tmp_path / "out"
    status, text, err = call(capsys, "export", job, "-o", out)
    assert status == 1 and "no cut file" in err and "wider stock" in text
    assert [p.name for p in out.rglob("*")] == ["result.json"]
    assert json.loads((out / "result.json").read_text())["files"] == []
    status, _, err = call(capsys, "export", job, "-o", out, "--despite-checks")
    assert (status, err) == (1, "")
    assert len(list(out.rglob("*.dxf"))) == 4, "the part, two boards, the trial piece"


@pytest.mark.slow
def test_stale_cut_files_do_not_outlive_a_failing_check(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    out = tmp_path / "out"
    call(capsys, "export", DEMO, "-o", out)
    job = changed(tmp_path, ("throat_least = 5\n", "throat_least = 6\n"))
    assert call(capsys, "export", job, "-o", out)[0] == 1
    assert not list(out.rglob("*.dxf"))


def test_none_fits_ends_with_2_and_writes_nothing_whatever_the_options(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = changed(tmp_path, ('pad_reveal = {least = "1/2", most = 3}', "pad_reveal = {least = 0, most = 0.1}"))
    for command in (["solve"], ["check"], ["nest"], ["export", "-o", tmp_path / "out", "--force", "--despite-checks"]):
        status, _, err = call(capsys, command[0], job, *command[1:])
        assert status == 2
        assert len(err.splitlines()) == 1 and "nearest is 6 risers" in err
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("edit", "said"),
    [
        (("unit_run = ", "unit_runn = "), "stair.unit_run"),
        (('"10 1/2"', '"ten"'), "stair.unit_run"),
        (("count = 3", "count = 0"), "stringer.count"),
        (('rules = "irc-2021"', 'rules = "irc-1800"'), "stair.rules"),
        (('rules = "irc-2021"', 'rules = "none.toml"'), "none.toml"),
        (("floor_overhang = ", "floor_overhang = 'x'\nheader_depthh = "), "header_depth"),
        (('length = "8\'"\nprice = 21.80', 'length = "4 ft"\nquantity = 1'), "stock"),
        (("[site]", "[site"), "line"),
    ],
)
def test_bad_input_ends_with_2_and_one_line_a_fault(
    edit: tuple[str, str], said: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edits = [edit]
    if said == "stock":
        edits.append(("quantity = 2\n", "quantity = 0\n"))
    job = changed(tmp_path, *edits)
    status, _, err = call(capsys, "export", job, "-o", tmp_path / "out")
    assert status == 2
    assert said in err
    assert all(line.startswith("cutpath: ") for line in err.splitlines())
    assert not (tmp_path / "out").exists()


def test_a_part_that_fits_no_board_says_the_length_it_needs(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = changed(
        tmp_path, ('length = "12\'"', 'length = "5\'"'), ('length = "8\'"', 'length = "4\'"'), ("defects", "#")
    )
    status, _, err = call(capsys, "nest", job)
    assert status == 2
    # 61.9916 in along the board and 1/4 in kept clear at each end.
    assert "62.4916 in" in err


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["sole"],
        ["solve"],
        ["solve", "none.toml"],
        ["solve", "."],
        ["export", str(DEMO)],
        ["check", str(DEMO), "--x"],
    ],
)
def test_wrong_calls_end_with_2_and_no_traceback(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    status, _, err = call(capsys, *arguments)
    assert status == 2
    assert err.strip()
    if arguments:
        assert len(err.strip().splitlines()) == 1


@pytest.mark.slow
def test_output_folder_with_other_files_is_refused_and_force_leaves_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "letter.txt").write_text("mine")
    status, _, err = call(capsys, "export", DEMO, "-o", out)
    assert status == 2 and "letter.txt" in err
    assert [p.name for p in out.iterdir()] == ["letter.txt"]
    assert call(capsys, "export", DEMO, "-o", out, "--force")[0] == 0
    assert (out / "letter.txt").read_text() == "mine"


def test_init_writes_a_starter_that_passes_and_never_overwrites(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    for units in ("in", "mm"):
        file = tmp_path / f"{units}.toml"
        assert call(capsys, "init", file, "--units", units)[0] == 0
        assert call(capsys, "check", file)[0] == 0
        before = file.read_bytes()
        status, _, err = call(capsys, "init", file)
        assert status == 2 and "left as it is" in err
        assert file.read_bytes() == before


def test_help_lists_every_command_in_the_order_of_use_and_cuts_no_line_off(capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = call(capsys, "--help")
    listed = [line.split()[0] for line in text[text.index("Commands:") :].splitlines()[1:]]
    in_use = [
        "init",
        "solve",
        "check",
        "site",
        "nest",
        "export",
        "serve",
        "inspect",
        "repair",
        "rules",
        "give-back",
        "schema",
    ]
    assert listed == in_use
    assert "..." not in text.replace("COMMAND [ARGS]...", "")
    assert "the local code and a licensed professional decide" in " ".join(text.split())
    assert max(map(len, text.splitlines())) <= 80


def test_a_nest_on_sheets_speaks_of_sheets(capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = call(capsys, "nest", DEMO.parent / "panel-steps.toml")
    assert "board" not in text
    assert "sheets  to buy or take" in text


def test_a_check_over_advice_is_told_once(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = call(capsys, "export", DEMO.parent / "boat-landing.toml", "-o", tmp_path / "out")
    (line,) = [line for line in unwrapped(text) if line.startswith("span over advice: 88 in (7'-4\"), most 72 in")]
    assert line.count("advice") == 1
    assert "to mend it: a support under them, support.at 44 in (3'-8\")" in line


@pytest.mark.slow
def test_the_worst_stands_first_and_last(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "high.toml"
    job.write_text(HIGH)
    _, text, _ = call(capsys, "check", job)
    lines = unwrapped(text)
    at = next(i for i, line in enumerate(lines) if line.startswith("Falls:"))
    assert [line.split(":")[0] for line in lines[at + 2 :]] == ["bending FAILS", "span over advice", "needed"]
    assert max(map(len, text.splitlines())) <= 80
    _, told, _ = call(capsys, "export", job, "-o", tmp_path / "out", "--despite-checks")
    assert lines[at + 2 : at + 4] == [line for line in unwrapped(told) if "FAILS" in line or "over advice" in line]
    page = (tmp_path / "out" / "packet.html").read_text()
    box = re.search(r'<p class="verdict fails">(.*?)</p>', page)
    assert box and box[1].startswith("1 of ") and box[1].endswith("FAIL: bending. Not for cutting. Over advice: span.")
    assert re.findall(r"<li>(bending FAILS|span over advice): 1", page) == ["bending FAILS", "span over advice"]


def test_advice_that_is_over_stands_before_what_holds(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = tmp_path / "high.toml"
    job.write_text(HIGH.replace("[wood]", "#").replace("species", "#").replace("grade", "#"))
    _, text, _ = call(capsys, "check", job)
    told = unwrapped(text)[-3:]
    assert told[0].startswith("span over advice: 157.5 in (13'-1 1/2\"), most 72 in")
    assert told[1].startswith("all ") and told[1].endswith(" required checks hold, on what was read and typed in")
    call(capsys, "export", job, "-o", tmp_path / "out")
    page = (tmp_path / "out" / "packet.html").read_text()
    assert re.search(r'<p class="verdict">Over advice: span\. All \d+ required checks hold\.</p>', page)


#: A flight twice as long as guidance has it for notched boards, and more than the wood carries.
HIGH = """
[site]
profile = [[0, 106], [80, "107 1/2"], [132, 111], [240, 114]]
pad_reveal = {least = 1, most = 5}
[stair]
riser_board = "3/4"
[stringer]
count = 4
[wood]
species = "Douglas Fir-Larch"
grade = "No. 2"
[[stock]]
size = "2x12"
length = "16'"
"""


@pytest.mark.parametrize("command", ["solve", "check", "site", "nest"])
@pytest.mark.parametrize("name", ["boat-landing", "closed-string", "steel-plate", "panel-steps"])
def test_what_is_printed_fits_a_terminal(command: str, name: str, capsys: pytest.CaptureFixture[str]) -> None:
    _, text, _ = call(capsys, command, DEMO.parent / f"{name}.toml")
    assert max(map(len, text.splitlines())) <= 80
    assert "\n\n\n" not in text
    assert "lengths in in " not in text and "lengths in in," not in text


def test_no_line_breaks_inside_a_length() -> None:
    head, cell = ("check", "limit"), "least 0.75 (3/4), most 1.25 (1 1/4)"
    text = table(head, [("x" * 42, cell)], left=frozenset({0, 1}))
    assert "1.25 (1 1/4)" in text.replace("\n", "#")
    assert (
        "\n\n"
        not in table(("a", "b", "c"), [("1", "x" * 60, "y" * 30), ("", "", "y" * 30)], left=frozenset({0, 1})).split(
            "\n\na"
        )[0]
    )


@pytest.mark.slow
def test_schema_is_printed_and_holds_the_demo(capsys: pytest.CaptureFixture[str]) -> None:
    import tomllib

    import jsonschema

    _, text, _ = call(capsys, "schema")
    jsonschema.validate(tomllib.loads(DEMO.read_text()), json.loads(text))
    _, text, _ = call(capsys, "schema", "--stock")
    of_stock = json.loads(text)
    jsonschema.validate({"stock": [{"size": "2x12", "length": "16'"}]}, of_stock)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({"stock": [{"size": "2x12", "long": "16'"}]}, of_stock)


@pytest.mark.slow
def test_the_site_command_gives_what_the_packet_says(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, text, _ = call(capsys, "site", DEMO)
    page = (FIXTURES.parent / "docs" / "on-site.md").read_text(encoding="utf-8")
    set_out, tape = text.split("\n\nOrchard steps: tape sheet")
    assert status == 0 and set_out in page and tape in page
    assert call(capsys, "export", DEMO, "-o", tmp_path / "out")[0] == 0
    result = json.loads((tmp_path / "out" / "result.json").read_text())
    data = json.loads(call(capsys, "site", DEMO, "--json")[1])
    assert (data["set_out"], data["tape"]) == (result["set_out"], result["tape"])


def test_names_are_data(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job = changed(tmp_path, ('name = "Orchard steps"', 'name = "../Größe 🪜 <b>/\\\\ %%c"'))
    out = tmp_path / "out"
    assert call(capsys, "export", job, "-o", out)[0] == 0
    assert {p.relative_to(tmp_path).parts[0] for p in tmp_path.rglob("*")} == {"out", "job.toml"}
    result = json.loads((out / "result.json").read_text())
    assert result["nest"]["boards"][0]["parts"][0]["name"].startswith("../Größe 🪜 <b>/\\ %%c")
    names = [p.name for p in out.rglob("*.dxf")]
    assert all(n.isascii() and n == n.lower() for n in names)


#: Every one of path, corner and edges with every other, and each with every version.
WAYS = [
    ("r12", "design", "relieved", "factory"),
    ("r12", "centre", "rounded", "trimmed"),
    ("r2000", "design", "rounded", "trimmed"),
    ("r2000", "centre", "relieved", "factory"),
    ("r2010", "centre", "relieved", "trimmed"),
    ("r2010", "design", "rounded", "factory"),
    ("r2013", "centre", "rounded", "factory"),
    ("r2013", "design", "relieved", "trimmed"),
]


@pytest.mark.slow
@pytest.mark.parametrize(("version", "path", "corner", "edges"), WAYS)
def test_every_way_of_handing_over_exports(
    version: str, path: str, corner: str, edges: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = changed(
        tmp_path,
        ('path = "design"', f'path = "{path}"'),
        ('corner = "relieved"', f'corner = "{corner}"'),
        ('edges = "factory"', f'edges = "{edges}"'),
    )
    job.write_text(job.read_text() + f'\n[dxf]\nversion = "{version}"\n')
    status, _, err = call(capsys, "export", job, "-o", tmp_path / "out")
    assert (status, err) == (0, "")


def test_nest_prints_no_layout_that_does_not_hold(capsys: pytest.CaptureFixture[str], monkeypatch) -> None:
    from cutpath.plan import stages

    whole = stages.filled

    def overlapping(*arguments, **more):
        layout = whole(*arguments, **more)
        first, *others = layout.boards
        return replace(layout, boards=(replace(first, parts=(first.parts[0], *first.parts)), *others))

    monkeypatch.setattr(stages, "filled", overlapping)
    status, out, err = call(capsys, "nest", DEMO)
    assert (status, out) == (2, "")
    assert err.startswith("cutpath: ") and err.count("\n") == 1
