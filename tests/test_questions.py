"""Readings and sizes that can't well be right are asked about, and used as they stand."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.cli.main import run
from cutpath.design.questions import Question, landing_questions, questions
from cutpath.design.stair import candidates, choose
from cutpath.faults import NoStairFits
from cutpath.job.read import job_from_text, read_job
from cutpath.job.starter import starter, starter_readings
from cutpath.rules.load import load_rules
from cutpath.units import shown_in
from tests.jobs import FIXTURES

IRC = load_rules("irc-2021")


def asked(text: str) -> list[Question]:
    job = job_from_text(text).job
    return list(questions(job, shown_in(job.units)))


def of_ground(profile: str, units: str = "in") -> list[Question]:
    return asked(f'units = "{units}"\n[site]\nprofile = {profile}')


@pytest.mark.parametrize("path", sorted(FIXTURES.glob("*.toml")), ids=lambda path: path.stem)
def test_a_job_as_it_should_be_is_asked_nothing(path: Path) -> None:
    job = read_job(path).job
    show, rules = shown_in(job.units), load_rules(job.stair.rules)
    choice = choose(candidates(job.site, job.stair, rules, show, job.pad), show)
    assert questions(job, show) == landing_questions(job, rules, choice, show) == ()


@pytest.mark.parametrize(
    ("profile", "key", "meant"),
    [
        ("[[0, 52.25], [36, 545], [72, 57], [108, 60]]", "site.profile[1].down", "is it 54.5 in"),
        ("[[0, 52.25], [36, 54.5], [72, 5.7], [108, 60]]", "site.profile[2].down", "is it 57 in"),
        ("[[0, 522.5], [36, 54.5], [72, 57]]", "site.profile[0].down", "is it 52.25 in"),
        ("[[0, 40], [36, 42], [72, 440]]", "site.profile[2].down", "is it 44 in"),
        ("[[0, 30], [3.6, 34], [72, 50]]", "site.profile[1].out", "is it 36 in"),
        ("[[0, 30], [36, 34], [72, 38], [1080, 42]]", "site.profile[3].out", "is it 108 in"),
    ],
)
def test_a_slip_of_a_digit_is_asked_about_once_with_what_fits(profile: str, key: str, meant: str) -> None:
    (question,) = of_ground(profile)
    assert question.key == key and meant in question.text


@pytest.mark.parametrize(
    ("profile", "units"),
    [
        ("[[52.25, 0], [54.5, 36], [57.5, 72], [60, 108]]", "in"),
        ("[[900, 0], [930, 800], [990, 1600]]", "mm"),
    ],
)
def test_out_and_down_swapped_are_asked_about_alone(profile: str, units: str) -> None:
    (question,) = of_ground(profile, units)
    assert question.key == "site.profile" and "swapped" in question.text


def test_steep_ground_is_asked_about_where_it_is() -> None:
    (question,) = of_ground("[[0, 30], [30, 31], [60, 61], [90, 62]]")
    # 30 in down over 30 in out: 45 degrees by arithmetic.
    assert question.key == "site.profile[2]" and "30 in (2'-6\") over 30 in (2'-6\") here, 45 degrees" in question.text
    assert of_ground("[[0, 30], [30, 31], [60, 50], [90, 51]]") == [], "32 degrees is a bank"


def test_ground_not_read_at_the_header_is_asked_about() -> None:
    (question,) = of_ground("[[30, 40], [60, 42], [150, 46]]")
    assert question.key == "site.profile" and "no reading at the header" in question.text
    assert of_ground("[[3, 40], [60, 42], [150, 46]]") == [], "the tape's hook may hang on a board"


@st.composite
def gentle(draw: st.DrawFn) -> list[list[float]]:
    """Ground that falls or rises by up to 25 degrees, with a reading at the header. Inches."""
    gaps = draw(st.lists(st.integers(20, 60), min_size=2, max_size=6))
    profile = [[0.0, float(draw(st.integers(30, 60)))]]
    for gap in gaps:
        slope = draw(st.floats(-0.15, 0.46))
        profile.append([profile[-1][0] + gap, round(profile[-1][1] + slope * gap, 2)])
    return profile


@pytest.mark.slow
@given(gentle(), st.data())
@settings(max_examples=80, deadline=None)
def test_ground_that_can_be_is_let_be_and_a_lost_point_is_found(
    profile: list[list[float]], data: st.DataObject
) -> None:
    assert of_ground(str(profile)) == []
    at = data.draw(st.integers(0, len(profile) - 1))
    profile[at][1] *= 10
    if profile[at][1] <= 590:
        assert f"site.profile[{at}].down" in [question.key for question in of_ground(str(profile))]


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ('kind = "beam"\nwidth = 0.3', 'write "0.3 mm"'),
        ('kind = "beam"\nwidth = 0.25', 'write "0.25 mm"'),
        ('kind = "router"\nwidth = "1/64"', "measure it again"),
        ('kind = "beam"\nwidth = "1/64"', None),
        ('kind = "router"\nwidth = "3/8"', None),
    ],
)
def test_a_cutter_in_inches_that_looks_like_the_other_unit(text: str, meant: str | None) -> None:
    found = asked(f"[site]\ntotal_rise = 40\n[cutter]\n{text}")
    assert (found == []) if meant is None else (found[0].key == "cutter.width" and meant in found[0].text)


@pytest.mark.parametrize(
    ("text", "meant"),
    [
        ('kind = "router"\nwidth = 0.25', 'write "0.25 in"'),
        ('kind = "router"\nwidth = 0.375', 'write "0.375 in"'),
        ('kind = "beam"\nwidth = 0.016', 'write "0.016 in"'),
        ('kind = "beam"\nwidth = 12', "measure it again"),
        ('kind = "beam"\nwidth = 0.3', None),
        ('kind = "router"\nwidth = 8', None),
    ],
)
def test_a_cutter_in_millimetres_that_looks_like_the_other_unit(text: str, meant: str | None) -> None:
    found = asked(f'units = "mm"\n[site]\ntotal_rise = 1000\n[cutter]\n{text}')
    assert (found == []) if meant is None else (found[0].key == "cutter.width" and meant in found[0].text)


@pytest.mark.parametrize("units", ["in", "mm"])
def test_readings_that_are_still_the_starter_s_are_asked_about(units: str) -> None:
    (question,) = asked(starter(units))
    assert question.key == "site.profile" and "starter's readings" in question.text
    readings = starter_readings(units)
    assert readings is not None and len(readings) == 4 and readings[0][0] == 0


def test_the_pad_s_far_edge_is_asked_about_where_nobody_read() -> None:
    def at_edge(last: int) -> tuple[Question, ...]:
        job = job_from_text(f"[site]\nprofile = [[0, 30], [{last}, 34]]").job
        show = shown_in("in")
        return landing_questions(job, IRC, choose(candidates(job.site, job.stair, IRC, show, job.pad), show), show)

    assert at_edge(120) == ()
    (question,) = at_edge(60)
    # 4 risers: the foot is 31.5 in out with a run of 10 1/2, and a landing is 36 in deep (IRC 2021 R311.7.6).
    assert (
        question.key == "site.profile"
        and "read farther out" in question.text
        and "last one is at 60 in" in question.text
    )


def test_readings_that_end_too_soon_are_to_be_read_farther_out() -> None:
    job = job_from_text("[site]\nprofile = [[0, 58], [40, 60]]").job
    with pytest.raises(NoStairFits) as caught:
        choose(candidates(job.site, job.stair, IRC, str, job.pad), str)
    assert "take readings farther out" in str(caught.value) and "widen" not in str(caught.value)
    assert caught.value.key == "site.profile"


@pytest.mark.slow
def test_questions_stand_on_standard_error_and_leave_the_status(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job, other = tmp_path / "deck.toml", tmp_path / "porch.toml"
    job.write_text(
        "[site]\nprofile = [[0, 52.25], [36, 545], [72, 57], [180, 60]]\n[[stock]]\nsize='2x12'\nlength=192\n"
    )
    other.write_text("[site]\ntotal_rise = 42\n[[stock]]\nsize='2x12'\nlength=192\n")
    line = (
        "cutpath: site.profile[1].down: 545 in (45'-5\") makes the ground here far too steep: "
        "is it 54.5 in (4'-6 1/2\")?"
    )
    for command in (["solve"], ["check"], ["site"], ["nest"], ["export", "-o", str(tmp_path / "out")]):
        status = run([command[0], str(job), *command[1:]])
        out, err = capsys.readouterr()
        assert err.startswith(line) and err.count("\n") == 1 and out, command
        assert status == 0, command
    assert run(["nest", str(job), str(other)]) == 0
    assert f"cutpath: {job}: site.profile[1].down" in capsys.readouterr().err
    assert run(["solve", str(job), "--json"]) == 0
    assert capsys.readouterr().out.startswith("{")


def test_lumber_and_a_saw_that_no_piece_asks_for_are_asked_about() -> None:
    text = '[site]\ntotal_rise = 43.5\n[saw]\nwidth = 0.125\n[[lumber]]\nsize = "2x6"\nlength = "12\'"\n'
    asked = questions(job_from_text(text).job, str)
    assert [q.key for q in asked] == ["lumber", "saw"] and all("no piece asks for it" in q.text for q in asked)
    assert not questions(job_from_text(text + '[treads]\nsize = "2x6"\n').job, str)
