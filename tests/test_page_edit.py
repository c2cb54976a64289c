"""The job file's text changed in place: nothing but the value that is meant changes."""

from __future__ import annotations

import re
import tomllib
from functools import cache

import pytest

from cutpath.faults import Fault, JobFaults
from cutpath.job.read import job_from_text
from cutpath.job.starter import starter
from cutpath.page.answers import told
from cutpath.page.edit import changed, changed_all, typed_in
from cutpath.page.typed import CantChange
from cutpath.units import Unit
from tests.jobs import FIXTURES

TEXTS = {path.stem: path.read_text() for path in sorted(FIXTURES.glob("*.toml"))} | {
    "starter-in": starter("in"),
    "starter-mm": starter("mm"),
}


def jobs() -> dict[str, str]:
    found = {}
    for name, text in TEXTS.items():
        try:
            job_from_text(text)
        except JobFaults:
            continue
        found[name] = text
    return found


JOBS = jobs()


def of_each(name: str) -> dict[str, str]:
    """What is typed in a job, of keys that the jobs before it have none of, rows counted as one."""
    before = {kind_of(key) for other in list(JOBS)[: list(JOBS).index(name)] for key in values_of(other)}
    return {key: typed for key, typed in values_of(name).items() if kind_of(key) not in before}


@cache
def values_of(name: str) -> dict[str, str]:
    """What is typed in a job, by key."""
    found: dict[str, str] = typed_in(JOBS[name])["values"]
    return found


def kind_of(key: str) -> str:
    return re.sub(r"\[\d+\]", "[]", key)


def test_there_are_jobs_to_change() -> None:
    assert len(JOBS) >= 6


@pytest.mark.slow
@pytest.mark.parametrize("name", JOBS)
def test_what_is_shown_and_typed_again_is_the_same_job(name: str) -> None:
    text = JOBS[name]
    assert len(values_of(name)) > 3
    job = job_from_text(text).job
    for key, typed in of_each(name).items():
        found = changed(text, {"do": "set", "key": key, "typed": typed})
        assert job_from_text(found).job == job, key
        # All lines but that of the value are as they were.
        old, new = text.splitlines(), found.splitlines()
        assert len(old) == len(new) and sum(a != b for a, b in zip(old, new, strict=True)) <= 1, key


@pytest.mark.slow
@pytest.mark.parametrize("name", JOBS)
def test_a_key_taken_out_leaves_every_comment_line(name: str) -> None:
    text = JOBS[name]
    tables, kept = len(tomllib.loads(text)), [line for line in text.splitlines() if line.startswith("#")]
    for key in of_each(name):
        if "[" in key:
            continue
        found = changed(text, {"do": "set", "key": key, "typed": ""})
        assert len(tomllib.loads(found)) in (tables, tables - 1)
        assert [line for line in found.splitlines() if line.startswith("#")] == kept, key


@pytest.mark.parametrize(
    "text",
    [
        '[[stock]]\nsize = "2x12"\nlength = 96\n[stair]\nnosing = 1\n[[stock]]\nsize = "2x12"\nlength = 120\n',
        "[stair]\nnosing = 1\n[site]\ntotal_rise = 42\n[stair.x]\n",
        "stair.nosing = 1\nsite.total_rise = 42\nstair.unit_run = 10\n",
        '"stair" = {nosing = 1}\n',
        "[stair]\r\nnosing = 1 # so\r\n",
        "stair = {nosing = 1, # first\n}\n",
        "stair = 3\n",
        "stair = [1, 2]\n",
        "[[stair]]\nnosing = 1\n",
    ],
)
def test_an_odd_layout_is_changed_rightly_or_left(text: str) -> None:
    try:
        found = changed(text, {"do": "set", "key": "stair.nosing", "typed": "1 1/8"})
    except CantChange as fault:
        assert "change it in the text" in str(fault)
    except JobFaults:
        with pytest.raises(tomllib.TOMLDecodeError):
            tomllib.loads(text)
    else:
        meant = tomllib.loads(text)
        meant["stair"]["nosing"] = "1 1/8"
        assert tomllib.loads(found) == meant
        assert found.replace('"1 1/8"', "1") == text or "nosing = 1" not in text


@pytest.mark.parametrize(
    "text",
    ["x = [", "a.b.c.d.e.f.g.h.i.j = 1", "[" * 5000 + "]" * 5000, "\x00", "x = 1\nx = 2"],
)
def test_a_text_that_is_no_toml_is_refused_in_its_own_words(text: str) -> None:
    with pytest.raises(JobFaults):
        changed(text, {"do": "set", "key": "stair.nosing", "typed": "1"})


@pytest.mark.parametrize(
    "typed", ['"', "'", "\\", '"""', "]", "}", "= 1", "\n[stair]", "#", "1 #", "[1, 2", "{a = 1}", "inf", "é½"]
)
def test_whatever_is_typed_stays_a_value(typed: str) -> None:
    text = "[site]\ntotal_rise = 42\n\n[stair]\nnosing = 1 # so\n"
    for key in ("stair.nosing", "job.name", "machine.bed", "cutter.kind", "stringer.count"):
        found = tomllib.loads(changed(text, {"do": "set", "key": key, "typed": typed}))
        assert set(found) <= {"site", "stair", key.split(".")[0]} and found["site"] == {"total_rise": 42}
        assert set(found["stair"]) == {"nosing"}


@pytest.mark.parametrize(
    ("key", "typed", "stands"),
    [
        ("stock[0].size", "[3/4, 48]", ["3/4", 48]),
        ("machine.bed", "[4', 8' 1 1/2\"]", ["4'", "8' 1 1/2\""]),
        ("stock[0].widths", '[11 1/8, 11.25, "11 1/4"]', ["11 1/8", 11.25, "11 1/4"]),
        ("stock[0].defects", "[[20, 24 1/2], [3 ft, 40]]", [[20, "24 1/2"], ["3 ft", 40]]),
    ],
    ids=["size", "bed", "widths", "defects"],
)
def test_lengths_between_brackets_are_typed_as_on_a_tape(key: str, typed: str, stands: object) -> None:
    text = '[site]\ntotal_rise = 42\n\n[[stock]]\nsize = "2x12"\nlength = 120\n'
    found = tomllib.loads(changed(text, {"do": "set", "key": key, "typed": typed}))
    table, name = key.replace("[0]", "").split(".")
    held = found[table][0] if table == "stock" else found[table]
    assert held[name] == stands


@pytest.mark.parametrize(("units", "other"), [("in", "mm"), ("mm", "in")])
def test_another_unit_gives_what_is_still_the_starters_the_size_that_it_has_there(units: Unit, other: Unit) -> None:
    """37 in would be 37 mm, and an inch of nosing a millimetre that no bound finds."""
    choose = {"do": "set", "key": "units", "typed": other}
    assert changed(starter(units), choose) == starter(other)
    assert changed(changed(starter(units), choose), choose | {"typed": units}) == starter(units)
    # What is one's own stays: changed, taken out or added, before and in the same breath.
    own = changed(starter(units), {"do": "set", "key": "stair.nosing", "typed": "0.9"})
    own = changed(own, {"do": "set", "key": "stair.clear_width", "typed": ""}) + "# mine = 37\n"
    found = changed_all(own, [choose, {"do": "set", "key": "pad.thickness", "typed": "7"}])
    held, theirs = tomllib.loads(found), tomllib.loads(starter(other))
    assert held["stair"].pop("nosing") == 0.9 and "clear_width" not in held["stair"]
    assert held["pad"].pop("thickness") == 7 and found.endswith("# mine = 37\n")
    for table, gone in (("stair", "nosing"), ("stair", "clear_width"), ("pad", "thickness")):
        del theirs[table][gone]
    assert held == theirs


def test_another_unit_changes_no_number_of_a_job_that_is_ones_own() -> None:
    text = 'units = "in"\n[site]\ntotal_rise = 42\n[stair]\nnosing = 1\nclear_width = 37\n'
    found = changed(text, {"do": "set", "key": "units", "typed": "mm"})
    assert found == text.replace('"in"', '"mm"')


@pytest.mark.parametrize(
    ("key", "typed", "stands"),
    [
        ("stair.unit_run", '"10 1/2"', "10 1/2"),
        ("stair.unit_run", '"3\' 4 1/2\\""', "3' 4 1/2\""),
        ("stock[0].size", '"2x12"', "2x12"),
        ("stair.unit_run", '10 1/2"', '10 1/2"'),
        ("job.name", '"The Oaks"', '"The Oaks"'),
    ],
    ids=["length", "feet", "size", "inches", "name"],
)
def test_a_value_typed_in_the_files_quotes_is_that_value(key: str, typed: str, stands: str) -> None:
    """What is told of a fault writes it so: write a length like "10 1/2"."""
    text = '[site]\ntotal_rise = 42\n\n[[stock]]\nsize = "2x10"\nlength = 120\n'
    found = tomllib.loads(changed(text, {"do": "set", "key": key, "typed": typed}))
    table, name = key.replace("[0]", "").split(".")
    assert (found[table][0] if table == "stock" else found[table])[name] == stands


@pytest.mark.parametrize("key", ["site.pad_reveal", "stringer.sill_notch", "stringer.plate.bracket"])
def test_measures_that_go_together_are_left_out_once_none_is_typed(key: str) -> None:
    """An empty table would count: a notch without measures, a pad beside a landing."""
    text = '[site]\ntotal_rise = 42\n[stringer]\nplate = {profile = "straight"}\n'
    names = {"site.pad_reveal": ("least", "most"), "stringer.sill_notch": ("deep", "high")}.get(key, ("slot", "count"))
    typed = [{"do": "set", "key": f"{key}.{name}", "typed": "2"} for name in names]
    blank = [change | {"typed": ""} for change in typed]
    assert tomllib.loads(changed_all(text, typed)) != tomllib.loads(text)
    assert tomllib.loads(changed_all(text, typed + blank)) == tomllib.loads(text)


def test_a_row_that_nothing_is_typed_in_yet_stays() -> None:
    text = '[site]\ntotal_rise = 42\n[[stock]]\nsize = "2x12"\n'
    found = tomllib.loads(changed(text, {"do": "set", "key": "stock[0].size", "typed": ""}))
    assert found["stock"] == [{}]


@pytest.mark.parametrize("key", ["stock[0].price", "stock[0].quantity", "stair.unit_run", "pad.bag_yield"])
def test_a_decimal_comma_is_told_of_as_it_was_typed(key: str) -> None:
    text = '[site]\ntotal_rise = 42\n[pad]\nbag_source = "label"\n[[stock]]\nsize = "2x12"\nlength = 120\n'
    with pytest.raises(JobFaults, match="12,5") as found:
        job_from_text(changed(text, {"do": "set", "key": key, "typed": "12,5"}))
    assert key in [fault.key for fault in found.value.faults]


@pytest.mark.parametrize("form", ["housed", "plate"])
def test_the_starter_takes_another_form_of_stringer_as_it_is(form: str) -> None:
    """Nothing in it is written that another form has otherwise."""
    text = changed(starter("in"), {"do": "set", "key": "stringer.form", "typed": form})
    plain = job_from_text(f'[site]\ntotal_rise = 42\n[stringer]\nform = "{form}"\n').job.stringer
    job = job_from_text(text).job.stringer
    assert (job.count, job.throat_least) == (plain.count, plain.throat_least)


def test_a_fault_that_begins_with_a_key_is_told_beside_its_field() -> None:
    assert told(Fault("stair.rules: no rule set: none")) == [{"key": "stair.rules", "text": "no rule set: none"}]
    assert told(Fault("stair.run: none", key="stair.unit_run")) == [
        {"key": "stair.unit_run", "text": "stair.run: none"}
    ]
    assert told(Fault("the rule set: none")) == [{"key": "", "text": "the rule set: none"}]
