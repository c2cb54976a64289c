"""What is refused in a job file: each fault names its key, what was given and what is accepted."""

from __future__ import annotations

import copy
import errno
import os
import string
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from cutpath.faults import JobFaults
from cutpath.job.read import job_of, read_job
from cutpath.job.starter import starter

LANDING = "[site]\ntotal_rise = 40\n"
CENTRE = LANDING + "[cutter]\npath = 'centre'\n"
GROUND = "[site]\nprofile = [[0, 30], [40, 34], [80, 44]]\n"
BOARD = LANDING + '[[stock]]\nsize = "2x12"\nlength = 120\n'


def faults(text: str) -> tuple[str, ...]:
    with pytest.raises(JobFaults) as caught:
        job_of(tomllib.loads(text), Path("shed.toml"))
    assert all(line.startswith("shed.toml: ") and "\n" not in line for line in caught.value.lines)
    return tuple(map(str, caught.value.faults))


def file_fault(path: Path) -> str:
    with pytest.raises(JobFaults) as caught:
        read_job(path)
    (fault,) = caught.value.faults
    assert caught.value.lines == (f"{path}: {fault}",)
    return str(fault)


# The text of a job, then the start of its one fault (the key, and what was given), then what must stand in it.
SHEET = "[[stock]]\nsize = [0.75, 48]\nlength = 96\nkind = 'sheet'"

ONE_FAULT = [
    # Lengths.
    (LANDING + '[stair]\nunit_run = "10 1/x"', "stair.unit_run: ", '"10 1/x"', "190 mm"),
    (LANDING + "[stair]\nunit_run = true", "stair.unit_run: ", "true", "a number or a text"),
    (LANDING + "[stair]\nunit_run = 1979-05-27", "stair.unit_run: ", "a date or time", "a number or a text"),
    (LANDING + "[stair]\nunit_run = [10]", "stair.unit_run: ", "an array of 1", "a number or a text"),
    (LANDING + "[stair]\nunit_run = nan", "stair.unit_run: ", "nan", "190 mm"),
    (LANDING + "[stair]\nunit_run = -inf", "stair.unit_run: ", "-inf", "190 mm"),
    (LANDING + "[stair]\nunit_run = 275", "stair.unit_run: ", "275", "3.938 to 39.37 in"),
    ('units = "mm"\n[site]\ntotal_rise = 999\n[stair]\nunit_run = 10.5', "stair.unit_run: ", "10.5", "100 to 1000 mm"),
    (LANDING + '[stair]\nunit_rise = "-7"', "stair.unit_rise: ", '"-7"', "0.985 to 15.748 in"),
    (LANDING + "[cutter]\nwidth = 0", "cutter.width: ", "0", "0.001 to 2.362 in"),
    ("[site]\ntotal_rise = 1_000", "site.total_rise: ", "1000", "3.938 to 590.551 in"),
    (f"[site]\ntotal_rise = 0x{'f' * 9000}", "site.total_rise: ", "a whole number of 36000 bits", "590.551"),
    ("[site]\ntotal_rise = 1e300", "site.total_rise: ", "1e+300", "590.551"),
    (LANDING + "above = [{out = 9, up = 90}, {out = 8, up = 90}]", "site.above[1].out: ", "8 in", "points run outward"),
    (LANDING + "above = [{out = 9}]", "site.above[0].up: ", "missing", "up from the finished floor"),
    (LANDING + "above = [[9, 90]]", "site.above[0]: ", "an array of 2", "write a table with out, up"),
    # Words, counts, texts, money.
    ('units = "cm"\n' + LANDING, "units: ", '"cm"', '"in" or "mm"'),
    (LANDING + '[cutter]\nkind = "band saw"', "cutter.kind: ", '"band saw"', '"router" or "beam"'),
    (LANDING + "[cutter]\nkind = {}", "cutter.kind: ", "a table", '"router" or "beam"'),
    (LANDING + '[dxf]\nversion = "R2000"', "dxf.version: ", '"R2000"', '"r2000", "r12", "r2010" or "r2013"'),
    (LANDING + "[stair]\nrisers = 1", "stair.risers: ", "1", "2 to 60"),
    (LANDING + "[stair]\nrisers = 7.5", "stair.risers: ", "7.5", "whole number"),
    (LANDING + '[stair]\nrisers = "8"', "stair.risers: ", '"8"', "whole number"),
    (LANDING + "[stringer]\ncount = 501", "stringer.count: ", "501", "1 to 500"),
    (LANDING + "[stringer]\nturn_over = 1", "stringer.turn_over: ", "1", "true or false"),
    (LANDING + "[stringer]\nturn_over = true\nform = 'housed'", "stringer.turn_over: ", "true", "write false"),
    (
        LANDING
        + "[stringer]\nturn_over = true\nwidth = 11\nedges = 'trimmed'\n"
        + "[[stock]]\nkind = 'sheet'\nsize = [1, 48]\nlength = 96",
        "stringer.turn_over: ",
        "true with sheets",
        "write false",
    ),
    (LANDING + "[stringer]\ncount = false", "stringer.count: ", "false", "whole number"),
    (LANDING + '[job]\nname = ""', "job.name: ", '""', "leave the key out"),
    (LANDING + '[job]\nname = " \\t "', "job.name: ", '" \\t "', "leave the key out"),
    (LANDING + '[job]\nname = "a\\nb"', "job.name: ", '"a\\nb"', "plain text"),
    (LANDING + '[job]\nname = "a\\u001b[2J"', "job.name: ", '"a\\x1b[2J"', "plain text"),
    (LANDING + '[job]\nname = "a\\u2028b"', "job.name: ", '"a\\u2028b"', "plain text"),
    (LANDING + f'[job]\nname = "{"x" * 201}"', "job.name: ", "201", "at most 200"),
    (LANDING + "[job]\nname = 5", "job.name: ", "5", "quotes"),
    (LANDING + "[pad]\nbag_yield = 0.5", "pad.bag_source: ", "missing", "bag_yield"),
    (LANDING + "[pad]\nbag_source = 'label'", "pad.bag_yield: ", "missing", "drop the source"),
    (LANDING + "[pad]\nbag_yield = 80\nbag_source = 'label'", "pad.bag_yield: ", "80", "0.018 to 70.629 cubic feet"),
    (LANDING + "[pad]\nbag_yield = '1/2'\nbag_source = 'label'", "pad.bag_yield: ", '"1/2"', "without a unit"),
    (LANDING + "[pad]\nbag_yield = nan\nbag_source = 'label'", "pad.bag_yield: ", "nan", "cubic feet"),
    (LANDING + "[pad]\nthickness = 0", "pad.thickness: ", "0", "0.788 to 23.622 in"),
    (BOARD + "price = -1", "stock[0].price: ", "-1", "0 to 1000000"),
    (BOARD + "price = nan", "stock[0].price: ", "nan", "0 to 1000000"),
    (BOARD + 'price = "28.50"', "stock[0].price: ", '"28.50"', "without a currency"),
    # Keys and tables.
    (LANDING + "[stair]\nunit_rn = 10", "stair.unit_rn: ", "unknown key", "did you mean unit_run?"),
    (LANDING + "[stair]\nthroat_least = 5", "stair.throat_least: ", "unknown key", "stringer.throat_least?"),
    ("unit_run = 5\n" + LANDING, "unit_run: ", "unknown key", "did you mean stair.unit_run?"),
    (LANDING + "[stairs]\nnosing = 1", "stairs: ", "unknown key", "did you mean stair?"),
    (LANDING + "[machine]\nzzz = 1", "machine.zzz: ", "unknown key", "known here: bed, part_gap, end_trim"),
    (LANDING + "[Layers]\nCUT = 'X'", "Layers: ", "unknown key", "did you mean layers?"),
    (LANDING + "[layers]\nCuts = 'X'", "layers.Cuts: ", "unknown key", "did you mean CUT?"),
    (LANDING + "[[landing]]\nat = 3", "landing: ", "one straight flight", "a job for each flight"),
    (LANDING + "[stringer]\nholes = 3", "stringer.holes: ", "did you mean holes, a table of its own?", "known here"),
    (LANDING + "[cutter]\nkind = 'Saw'", "cutter.kind: ", "by hand write", "pattern.pdf"),
    (LANDING + '[layers]\n"a\\u0007b" = "X"', 'layers."a\\x07b": ', "unknown key", "known here: PART, CUT"),
    ("stair = 3\n" + LANDING, "stair: ", "3", "unit_run"),
    (LANDING + "[[stair]]\nnosing = 1", "stair: ", "an array of 1", "write [stair]"),
    (LANDING + "[stock]\nsize = '2x12'", "stock: ", "a table", "write [[stock]]"),
    ("stock = []\n" + LANDING, "stock: ", "an array of 0", "1 to 500"),
    ("stock = ['2x12']\n" + LANDING, "stock[0]: ", '"2x12"', "size, length"),
    ("units = 'in'", "site: ", "missing", "profile"),
    # The site.
    ("[site]", "site: ", "neither profile", "total_rise"),
    (GROUND + "total_rise = 40", "site: ", "profile and total_rise", "drop the other"),
    (LANDING + "pad_reveal = {most = 3}", "site.pad_reveal: ", "total_rise", "drop one"),
    (GROUND + "pad_reveal = {least = 4}", "site.pad_reveal.least: ", "4 in", "3 in"),
    (GROUND + "pad_reveal = 3", "site.pad_reveal: ", "3", "least, most"),
    ("[site]\nprofile = [[0, 30]]", "site.profile: ", "an array of 1", "2 to 500"),
    ("[site]\nprofile = 30", "site.profile: ", "30", "array"),
    ("[site]\nprofile = [[0, 30], [40]]", "site.profile[1]: ", "an array of 1", "[out, down] or {along"),
    ("[site]\nprofile = [[0, 30], [40, 31, 32]]", "site.profile[1]: ", "an array of 3", "[out, down]"),
    ("[site]\nprofile = [[0, 30], 40]", "site.profile[1]: ", "40", "[out, down]"),
    ("[site]\nprofile = [[0, 30], [40, '3O']]", "site.profile[1].down: ", '"3O"', "190 mm"),
    ("[site]\nprofile = [[-1, 30], [40, 31]]", "site.profile[0].out: ", "-1", "0 to 2362.204 in"),
    ("[site]\nprofile = [[0, -500], [40, 31]]", "site.profile[0].down: ", "-500", "-118.11 to"),
    ("[site]\nprofile = [[0, 30], {along = 40}]", "site.profile[1].down: ", "missing", "-118.11 to"),
    (
        "[site]\nprofile = [[0, 30], {along = 40, down = '41'}]",
        "site.profile[1]: ",
        "along = 40",
        'down = "41"',
    ),
    (
        "[site]\nprofile = [[0, 30], [80, 44], [80, 50], [90, 51]]",
        "site.profile[2]: ",
        "80 in",
        "site.profile[1]",
    ),
    (
        "[site]\nprofile = [[0, 30], [80, 44], {along = 50, down = 30}]",
        "site.profile[2]: ",
        "40 in",
        "site.profile[1] at 80 in",
    ),
    # The stringer.
    (LANDING + "[stringer]\nedge_trim = 0.25", "stringer.edge_trim: ", "0.25 in (1/4)", 'edges = "trimmed"'),
    (LANDING + "[stringer]\nsill_notch = {deep = 3}", "stringer.sill_notch.high: ", "missing", "length"),
    (LANDING + "[stringer]\nsill_notch = 3", "stringer.sill_notch: ", "3", "deep, high"),
    (LANDING + "[machine]\nbed = 120", "machine.bed: ", "120", "[along, across]"),
    (LANDING + "[machine]\nbed = [120, 1]", "machine.bed.across: ", "1", "1.969 to"),
    # Small parts.
    (LANDING + "[extras]\npitch_gauge = 1", "extras.pitch_gauge: ", "1", "true or false"),
    (LANDING + "[treads]\n", "treads.size: ", "missing", "thickness is stair.tread_thickness"),
    (LANDING + "[treads]\nsize = '2x6'\nspan_most = 16", "treads.span_source: ", "missing", "span_most"),
    (LANDING + "[treads]\nsize = '2x6'\nspan_source = 'x'", "treads.span_most: ", "missing", "drop the source"),
    (LANDING + "[treads]\nsize = '5/4x6'", "treads.size: ", "5/4x6 is 1 in thick", "make them agree"),
    (LANDING + "[riser_boards]\nsize = '1x8'", "riser_boards: ", "stair.riser_board is 0", "give their thickness"),
    (LANDING + "[rail]\nposts = [1]", "rail.posts: ", "an array of 1", "2 to 60 items"),
    (LANDING + "[rail]\nposts = [0, 2]", "rail.posts[0]: ", "0", "1 to 60"),
    (LANDING + "[stringer]\nform = 'housed'\n[rail]\nplace = 'inside'", "rail.place: ", "inside", "outside"),
    (
        LANDING + "[stringer]\nform = 'plate'\n[treads]\nsize = '2x6'\nside_overhang = 1",
        "treads.side_overhang: ",
        "1 in",
        "leave it out",
    ),
    (LANDING + "[[as_cut]]\nmark = 'tip 1'", "as_cut[0]: ", "no reading", "drop the table"),
    (LANDING + "[[as_cut]]\nalong = 3", "as_cut[0].mark: ", "missing beside along", "as the tape sheet does"),
    ("lumber = []\n" + LANDING, "lumber: ", "an array of 0", "1 to 200 items"),
    (LANDING + "[extras]\nsill_plate = 0", "extras.sill_plate: ", "0", "true or false, or a whole number, 1 to 20"),
    (LANDING + "[extras]\nsill_plate = true", "extras.sill_plate: ", "no notch", "stringer.sill_notch"),
    (
        LANDING + "[stringer]\nsill_notch = {deep = 5.5, high = 2}\n[extras]\nsill_plate = 2",
        "extras.sill_plate: ",
        "2x12 is 1.5 in (1 1/2) thick",
        "notch 2 in high",
    ),
    (LANDING + "[machine]\ncommon_cuts = 1", "machine.common_cuts: ", "1", "true or false"),
    (
        LANDING + "[machine]\ncommon_cuts = true",
        "machine.common_cuts: ",
        'true with cutter.path = "design"',
        'write cutter.path = "centre"',
    ),
    (CENTRE + "lead = 0.5\n[machine]\ncommon_cuts = true", "machine.common_cuts: ", "cutter.lead", "lead = 0"),
    (CENTRE + "[tabs]\ncount = 2\n[machine]\ncommon_cuts = true", "machine.common_cuts: ", "with tabs", "count = 0"),
    (
        CENTRE + '[tabs]\nwaste = "tabbed"\n[machine]\ncommon_cuts = true',
        "machine.common_cuts: ",
        "with tabs",
        "fall free",
    ),
    (
        CENTRE + "[machine]\ncommon_cuts = true\n[stringer]\nwidth = 11\nedges = 'trimmed'\n" + SHEET,
        "machine.common_cuts: ",
        "with sheets",
        "use boards",
    ),
    # Sheets.
    (LANDING + "[stringer]\nedges = 'trimmed'\n" + SHEET, "stringer.width: ", "missing", "tips to lower edge"),
    (LANDING + "[stringer]\nwidth = 11\n" + SHEET, "stringer.edges: ", '"factory"', "trimmed"),
    (LANDING + "[stringer]\nwidth = 11", "stringer.width: ", "nothing with boards", 'kind = "sheet"'),
    (LANDING + "[[stock]]\nsize = '2x12'\nlength = 144\ngrain = 'free'", "stock[0].grain: ", "nothing", "sheet"),
    (
        LANDING + "[stringer]\nwidth = 11\nedges = 'trimmed'\n" + SHEET + "\n[[stock]]\nsize = '2x12'\nlength = 144",
        "stock[1].kind: ",
        "boards and sheets",
        "keep one",
    ),
    # Boards.
    (LANDING + "[[stock]]\nlength = 120", "stock[0].size: ", "missing", "2x12"),
    (LANDING + "[[stock]]\nsize = '2x12'", "stock[0].length: ", "missing", "11.812 to"),
    (LANDING + "[[stock]]\nsize = '2x13'\nlength = 120", "stock[0].size: ", '"2x13"', "2x12"),
    (LANDING + "[[stock]]\nsize = 12\nlength = 120", "stock[0].size: ", "12", "[thickness, width]"),
    (LANDING + "[[stock]]\nsize = [1.5, 1]\nlength = 120", "stock[0].size.width: ", "1", "1.182 to"),
    (BOARD + "quantity = -1", "stock[0].quantity: ", "-1", "0 to 10000"),
    (BOARD + "widths = []", "stock[0].widths: ", "an array of 0", "1 to 500"),
    (BOARD + "widths = [11, 0]", "stock[0].widths[1]: ", "0", "0.04 to"),
    (BOARD + "widths = [11, '11 13/16']", "stock[0].widths[1]: ", "11.8125 in (11 13/16)", "11.75 in (11 3/4)"),
    (BOARD + "defects = [[5, 6], [9, 9]]", "stock[0].defects[1]: ", "9 in", "from smaller than to"),
    (BOARD + "defects = [[118, 121]]", "stock[0].defects[0]: ", "121 in", "120 in"),
    # Layers.
    (LANDING + "[layers]\nCUT = 'A'\ncut = 'B'", "layers.cut: ", "CUT and cut", "keep one"),
    (LANDING + "[layers]\nCUT = 'A,B*'", "layers.CUT: ", "holds * ,", "no layer's name"),
    (LANDING + "[layers]\nCUT = ' A'", "layers.CUT: ", '" A"', "space"),
    (LANDING + "[layers]\nCUT = '0'", "layers.CUT: ", '"0"', "another name"),
    (LANDING + "[layers]\nCUT = 'DefPoints'", "layers.CUT: ", '"DefPoints"', "another name"),
    (LANDING + "[layers]\nCUT = 'mark'", "layers.MARK: ", '"MARK"', "CUT too"),
    (LANDING + "[layers]\nCUT = 'Ü'\n[dxf]\nversion = 'r12'", "layers.CUT: ", '"Ü"', "A-Z a-z 0-9 _ - $"),
    (LANDING + f"[layers]\nCUT = '{'A' * 32}'\n[dxf]\nversion = 'r12'", "layers.CUT: ", "R12", "up to 31"),
]


@pytest.mark.parametrize(("text", "key", "given_text", "accepted"), ONE_FAULT)
def test_one_fault_is_told_with_its_key(text: str, key: str, given_text: str, accepted: str) -> None:
    (fault,) = faults(text)
    assert fault.startswith(key)
    assert given_text in fault.removeprefix(key)
    assert accepted in fault.removeprefix(key)


def test_all_faults_are_told_together() -> None:
    told = faults(
        """
        unuts = "in"
        [site]
        profile = [[0, 30], [40, "3/0"], [80, 44], [70, 46]]
        pad_reveal = {least = 5, most = 2}
        [stair]
        nosing = true
        risers = 0
        [stringer]
        edge_trim = 1
        [layers]
        CUT = "NOTE"
        [[stock]]
        size = "2x12"
        length = 0
        defects = [[4, 3]]
        """
    )
    assert [fault.partition(":")[0] for fault in told] == [
        "unuts",
        "site.profile[1].down",
        "stair.nosing",
        "stair.risers",
        "stock[0].length",
        "site.pad_reveal.least",
        "site.profile[3]",
        "stringer.edge_trim",
        "stock[0].defects[0]",
        "layers.NOTE",
    ]


def test_a_wrong_unit_does_not_put_every_length_out_of_bounds() -> None:
    (fault,) = faults('units = "metric"\n[site]\ntotal_rise = 900\n[stair]\nunit_run = 280')
    assert fault.startswith("units: ")


def test_many_faults_are_counted_and_not_all_told() -> None:
    keys = "\n".join(f"k{n} = 1" for n in range(300))
    readings = ", ".join(["[0, 'x']"] * 400)
    told = faults(f"{keys}\n[site]\nprofile = [{readings}]")
    assert len(told) == 201
    assert told[-1] == "and 500 more faults"


def test_a_missing_file(tmp_path: Path) -> None:
    assert file_fault(tmp_path / "no.toml").startswith("no such file; `cutpath init`")


def test_a_folder(tmp_path: Path) -> None:
    assert file_fault(tmp_path) == "is a folder: name the job file in it"


def test_a_file_below_a_file(tmp_path: Path) -> None:
    (tmp_path / "a").write_text("")
    assert file_fault(tmp_path / "a" / "b.toml") == "can't be read: not a directory"


def test_a_file_that_may_not_be_read(monkeypatch, tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(LANDING)

    def refuse(*_: object) -> None:
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr(Path, "open", refuse)
    assert file_fault(path) == "can't be read: permission denied"


def test_a_name_that_no_file_has() -> None:
    with pytest.raises(JobFaults, match="is no file's name"):
        read_job(Path("a\0b.toml"))


@pytest.mark.parametrize(
    ("data", "fault"),
    [
        (b"a = 1\nb = '\xff'\n", "is not UTF-8 text (line 2): save it as UTF-8"),
        (LANDING.encode("utf-16"), "is not UTF-8 text (line 1): save it as UTF-8"),
        (b"#" * (1 << 20) + b"#", "is over 1 MiB, which no job file is"),
        (b"[site\n", "is no TOML: Expected ']' at the end of a table declaration (at line 1, column 6)"),
        (b"a = 1\nb = \n\n", "is no TOML: Invalid value (at line 2, column 5)"),
        (b"a = 1\na = 2", "is no TOML: Cannot overwrite a value (at line 2, column 6, where the file ends)"),
        (b"a = [1,\n", "is no TOML: Invalid value (at line 1, column 8, where the file ends)"),
        (b"a = " + b"[" * 5000, "is nested too deeply: a job file holds tables of plain values"),
        (b"a" + b".a" * 400_000 + b" = 1", "is nested too deeply: a job file holds tables of plain values"),
        (b"a = " + b"9" * 5000, "is no TOML: Exceeds the limit (4300 digits) for integer string conversion"),
    ],
)
def test_a_text_that_is_no_job(tmp_path: Path, data: bytes, fault: str) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(data)
    assert file_fault(path).startswith(fault)


def test_a_long_profile_on_one_line_is_not_taken_for_deep_nesting(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(f"[site]\nprofile = [{', '.join(f'[{n}.5, 30.25]' for n in range(400))}]\n")
    profile = read_job(path).job.site.profile
    assert profile is not None
    assert len(profile) == 400


SCALARS = st.one_of(
    st.booleans(),
    st.integers(),
    st.integers(-(10**400), 10**400),
    st.floats(),
    st.text(max_size=10),
    st.sampled_from(["2x12", "7 1/2", "-1 mm", "in", "mm", "router", "r12", "0", "\x00", "a/b", "12'"]),
    st.dates(),
    st.times(),
)
THINGS = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3),
        st.dictionaries(st.sampled_from(["least", "most", "along", "down", "size", "x", ""]), inner, max_size=3),
    ),
    max_leaves=6,
)


def places(data, at=()):
    """Where something stands in a job's data."""
    if at:
        yield at
    items = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for name, inner in items:
        yield from places(inner, (*at, name))


@st.composite
def changed_jobs(draw, most: int = 3) -> dict:
    """The starter's data with a few values changed, removed or added, `most` at the most."""
    data = copy.deepcopy(tomllib.loads(starter(draw(st.sampled_from(["in", "mm"])))))
    for _ in range(draw(st.integers(1, most))):
        *way, last = draw(st.sampled_from(list(places(data))))
        inner = data
        for name in way:
            inner = inner[name]
        match draw(st.sampled_from(["change", "remove", "add"])):
            case "change":
                inner[last] = draw(THINGS)
            case "remove":
                del inner[last]
            case _ if isinstance(inner, dict):
                inner[draw(st.text(max_size=8))] = draw(THINGS)
            case _:
                inner.append(draw(THINGS))
        if not data:
            break
    return data


@pytest.mark.slow
@given(changed_jobs(most=12))
@settings(max_examples=120, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_any_data_is_a_job_or_faults(data: dict) -> None:
    try:
        job_of(data, Path("a.toml"))
    except JobFaults as fault:
        assert fault.faults
        assert all(line.isprintable() for line in fault.lines)


@pytest.mark.slow
@given(
    st.sampled_from(["in", "mm"]),
    st.lists(
        st.tuples(
            st.integers(0, 4000),
            st.integers(0, 12),
            st.one_of(st.text(string.punctuation + " \n0123456789exo", max_size=4), st.text(max_size=3)),
        ),
        min_size=1,
        max_size=4,
    ),
)
@settings(max_examples=120, deadline=None)
def test_any_text_is_a_job_or_faults(tmp_path_factory, units, edits) -> None:
    text = starter(units)
    for place, cut, new in edits:
        place %= len(text) + 1
        text = text[:place] + new + text[place + cut :]
    path = tmp_path_factory.getbasetemp() / "edited.toml"
    path.write_text(text, encoding="utf-8", newline="")
    try:
        read_job(path)
    except JobFaults as fault:
        assert fault.faults
        assert all("\n" not in line for line in fault.lines)
