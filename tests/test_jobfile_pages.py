"""What is written about the job file for people: the starter, and the page in docs/."""

from __future__ import annotations

import re
import tomllib
from fractions import Fraction
from pathlib import Path

import pytest

from cutpath.faults import JobFaults
from cutpath.job import reference
from cutpath.job.keys import JOB
from cutpath.job.near import every_key
from cutpath.job.read import job_from_text, job_of, read_job
from cutpath.job.reference import BEGIN, END, in_page, key_reference
from cutpath.job.starter import starter, starter_readings
from cutpath.units import parse_length

PAGE = Path(__file__).parent.parent / "docs" / "job-file.md"
UNITS = ["in", "mm"]


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_reads_without_a_fault(tmp_path: Path, units) -> None:
    path = tmp_path / "stair.toml"
    path.write_text(starter(units), encoding="utf-8")
    job = read_job(path).job
    assert job.units == units
    downs = [down for _, down in job.site.profile or ()]
    assert len(downs) >= 3
    assert downs == sorted(downs), "the ground falls away from the floor"


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_shows_every_key_with_what_it_means(units) -> None:
    text = starter(units)
    comments = " ".join(re.findall(r"^# (.*)", text, re.MULTILINE))
    for name, key in every_key(JOB):
        last = name.rpartition(".")[2]
        assert re.search(rf"(^|[{{ ]|\[+){last}( = |\])", text, re.MULTILINE), name
        assert key.told() in comments, name
    assert max(map(len, text.splitlines())) <= 100


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_s_tables_stand_in_their_order_in_lines_that_fit_a_screen(units) -> None:
    text = starter(units)
    assert text.startswith("# A job for cutpath:") and f'\n\nunits = "{units}"\n' not in text
    assert re.search(rf'\n\n# What bare numbers mean.*\nunits = "{units}"\n\n# ', text)
    assert text.endswith('\nversion = "r2000"\n')
    assert re.findall(r"^(?:# )?\[.*\]$", text, re.MULTILINE) == [
        *("[job]", "[site]", "[stair]", "[stringer]", "# [[holes]]", "[pad]", "[cutter]", "[tabs]", "[machine]"),
        *("[[stock]]", "[[stock]]", "# [wood]", "# [steel]", "[loads]", "# [[support]]", "# [tolerance]", "[extras]"),
        *("# [treads]", "# [riser_boards]", "# [rail]", "# [[lumber]]", "# [saw]", "# [[as_cut]]", "[layers]", "[dxf]"),
    ]
    longer = {"in": 'size = "2x12"\nlength = "16\'"', "mm": "size = [38, 286]\nlength = 4800"}[units]
    assert f"\n\n# More boards of another length, as many as needed.\n[[stock]]\n{longer}\n\n" in text
    comments = re.findall("^# [A-Z].*", text[text.index("# What bare") :], re.MULTILINE)
    assert max(map(len, comments)) == 96
    # Keys of tables that are written inline follow their own, by their names.
    assert re.search(r"# least: Least height .*(\n# .*)*\n# most: Greatest such height", text)
    assert "\n# bracket.diameter: Diameter of the holes" in text and "\n# bracket.at: First hole" in text


def test_the_starter_s_readings_are_those_that_it_shows() -> None:
    """The third one along a taut tape: by Pythagoras."""
    inches = [(0, 31), (34, 34.625), ((83.25**2 - 41.5**2) ** 0.5, 41.5), (110, 45)]
    assert starter_readings("in") == tuple(pytest.approx((out * 25.4, down * 25.4), abs=1e-7) for out, down in inches)
    mm = [(0, 810), (900, 885), ((2150**2 - 1070**2) ** 0.5, 1070), (2900, 1160)]
    assert starter_readings("mm") == tuple(pytest.approx(reading, abs=1e-7) for reading in mm)


@pytest.mark.parametrize("units", UNITS)
def test_the_starter_says_nothing_of_another_s_site_shop_or_rack(units) -> None:
    job = job_from_text(starter(units)).job
    assert job.machine.bed is None
    assert (job.pad.depth, job.pad.width, job.stringer.sill_notch) == (None, None, None)
    for board in job.stock:
        assert (board.quantity, board.price, board.defects, board.offcut) == (None, None, (), "")
        assert board.least_width == board.width, "no width that was read off somebody else's board"


@pytest.mark.parametrize("units", UNITS)
def test_what_the_starter_leaves_behind_a_comment_sign_reads_too(units) -> None:
    text = starter(units)
    lines = re.findall(r"^# ([a-z_]+ = .*)$", text, re.MULTILINE)
    assert [line.split(" ")[0] for line in lines] == [
        "total_rise",
        "above",
        "unit_rise",
        "risers",
        "floor_overhang",
        "header_depth",
        "count",
        "throat_least",
        "width",
        "sill_notch",
        "level_cut",
        "housing",
        "plate",
        *("what", "diameter", "near", "tread", "at", "edge_least"),
        *("depth", "width", "bag_yield", "bag_source"),
        "bed",
        *("quantity", "price", "widths", "defects"),
        *("species", "grade", "wet", "treated"),
        "grade",
        *("live", "point", "dead"),
        *("at", "length"),
        *("cut", "board_width", "pad", "moisture"),
        *("boards", "size", "gap", "back_gap_most", "side_overhang", "span_most", "span_source", "post_play"),
        *("size", "gap", "foot", "floor_thickness"),
        *("side", "posts", "post", "place", "set_back", "post_below", "height"),
        *("top_rail", "past", "ends", "bottom_rail", "bottom_clear", "baluster", "opening_most"),
        *("size", "length", "quantity", "price"),
        *("width", "end_trim", "nearest"),
        *("mark", "along", "from_lower_end", "from_edge", "throat", "length", "width", "tip_to_tip"),
    ]
    pieces = text.index("\n# [treads]\n")
    for line in lines:
        # Keys of tables that are commented out whole.
        if f"\n# {line}\n" not in text[:pieces]:
            continue
        if line.startswith(("what", "diameter", "near", "tread", "at", "edge_least")):
            continue
        if line.startswith(("species", "grade", "wet", "treated", "length", "cut", "board_width", "pad", "moisture")):
            continue
        # A bag's yield and its source go together.
        live = text.replace(f"# {line}", line)
        if line.startswith("bag_"):
            live = re.sub(r"^# (bag_[a-z]+ = )", r"\1", live, flags=re.MULTILINE)
        if line.startswith("total_rise"):
            live = re.sub(r"^(profile|pad_reveal) = .*", "", live, flags=re.MULTILINE)
        if line.startswith("housing"):
            live = live.replace('form = "notched"', 'form = "housed"').replace("\ncount = 3", "\ncount = 2")
        if line in ('width = "11 1/4"', "width = 286"):
            live = live.replace('edges = "factory"', 'edges = "trimmed"').replace('kind = "board"', 'kind = "sheet"')
            live = live.replace("[[stock]]\nsize", '[[stock]]\nkind = "sheet"\nsize')
        if line.startswith("plate"):
            live = live.replace('form = "notched"', 'form = "plate"')
        job_of(tomllib.loads(live), Path("a.toml"))
    # A hole's keys go together under their table's head.
    holes = re.search(r"^# \[\[holes\]\]\n(?:# .*\n)+", text, re.MULTILINE)
    assert holes is not None
    live = text.replace(holes[0], re.sub(r"^# (\[|[a-z_]+ = )", r"\1", holes[0], flags=re.MULTILINE))
    assert len(job_of(tomllib.loads(live), Path("a.toml")).job.holes) == 1
    # So do those of treads, riser boards, rail and their lumber; riser boards need risers that are not open.
    end = text.index("# [layers]" if "# [layers]" in text else "[layers]")
    live = text[:pieces] + re.sub(r"^# (\[|[a-z_]+ = )", r"\1", text[pieces:end], flags=re.MULTILINE) + text[end:]
    live = re.sub("^riser_board = .*", 'riser_board = "19 mm"', live, flags=re.MULTILINE)
    job = job_of(tomllib.loads(live), Path("a.toml")).job
    assert job.treads and job.riser_boards and job.rail and len(job.lumber) == 1 and job.saw and len(job.as_cut) == 1


def test_the_page_holds_the_reference_of_every_key() -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert in_page(page) == page, "run: python -m cutpath.job.reference docs/job-file.md"


@pytest.mark.slow
def test_the_reference_names_every_key() -> None:
    page = key_reference()
    lower = page.lower()
    for name, key in every_key(JOB):
        table, _, rest = name.partition(".")
        assert f"`{rest}`" in page if rest else table.removesuffix("[]") in page, name
        assert key.doc.lower() in lower, name


def test_a_page_without_marks_is_left_alone() -> None:
    with pytest.raises(ValueError, match="no marks"):
        in_page("# Some page\n")
    assert in_page(f"a\n{BEGIN}\nold\n{END}\nb\n") == f"a\n{BEGIN}\n\n{key_reference()}\n{END}\nb\n"
    assert reference.BEGIN in PAGE.read_text(encoding="utf-8")


def test_the_lengths_in_the_page_are_what_it_says() -> None:
    inch = Fraction(127, 5)
    said = {
        "7 1/4 of the file's unit": Fraction(29, 4),
        "the same": Fraction(29, 4),
        "7 1/4 inches": Fraction(29, 4) * inch,
        "40 1/2 inches": Fraction(81, 2) * inch,
        "36 inches": 36 * inch,
        "190 millimetres": Fraction(190),
    }
    rows = re.findall(r"^\| (`.*`) \| ([^|`]+) \|$", PAGE.read_text(encoding="utf-8").split("## Faults")[0], re.M)
    assert {meaning for _, meaning in rows} == set(said)
    for written, meaning in rows:
        forms = re.findall(r"`([^`]+)`", written)
        assert forms
        for form in forms:
            # Each is TOML as it stands.
            value = tomllib.loads(f"length = {form}")["length"]
            assert parse_length(value, "mm") == said[meaning], form


def test_the_faults_in_the_page_are_what_is_told() -> None:
    told = re.findall(r"^cabin\.toml: .*$", PAGE.read_text(encoding="utf-8"), re.MULTILINE)
    text = """
        [site]
        profile = [[0, 30], [80, 44], [40, 45]]
        [stair]
        unit_rn = 10
        tread_thickness = "1,5"
    """
    with pytest.raises(JobFaults) as caught:
        job_of(tomllib.loads(text), Path("cabin.toml"))
    with pytest.raises(JobFaults) as slipped:
        job_from_text("units = 'in'\n\n[site]\nprofile = [[0, 52 1/4], [40, 54]]", Path("cabin.toml"))
    assert [*caught.value.lines, *slipped.value.lines] == told


@pytest.mark.parametrize("units", UNITS)
@pytest.mark.parametrize("name", ["wood", "steel", "support"])
def test_a_table_that_the_starter_comments_out_whole_reads_when_it_is_let_in(units, name) -> None:
    text = starter(units)
    block = re.search(rf"^# \[+{name}\]+\n(?:# .*\n)+", text, re.MULTILINE)
    assert block is not None
    live = re.sub(r"^# (\[|[a-z_]+ = )", r"\1", block[0], flags=re.MULTILINE)
    before, after = (job_from_text(t) for t in (text, text.replace(block[0], live)))
    assert getattr(before.job, name) in (None, ()) and getattr(after.job, name)
