"""What is named to mend a span, a spacing or a throat mends it. Invented jobs."""

import html
import json
import re
from pathlib import Path

import pytest

from cutpath.cli.main import run
from cutpath.job.read import job_from_text, job_of
from cutpath.plan.mends import mends_of
from cutpath.plan.stages import plan
from cutpath.plan.values import Plan
from cutpath.rules.values import Check
from tests.jobs import job_with
from tests.test_strength import DECK


def checks_of(planned: Plan) -> dict[str, Check]:
    return {check.id: check for check in planned.design.checks}


def deck(more: str = "", **stringer: object) -> Plan:
    raw = DECK.replace("count = 3", "\n".join([f"{key} = {value!r}" for key, value in stringer.items()]) or "count = 3")
    return plan(job_from_text(raw + more).job)


@pytest.mark.parametrize("more", ["", "[[support]]\nat = 40\n", "[[support]]\nat = 80\n"])
def test_the_supports_that_are_named_mend_the_span(more: str) -> None:
    told = checks_of(deck(more))["span"]
    assert told.outcome == "over advice"
    places = re.findall(r"support\.at ([\d.]+) in", told.mend)
    assert places
    mended = deck(more + "".join(f"[[support]]\nat = {at}\n" for at in places))
    assert checks_of(mended)["span"].outcome == "holds"
    one_less = deck(more + "".join(f"[[support]]\nat = {at}\n" for at in places[1:]))
    assert checks_of(one_less)["span"].outcome == "over advice"


def test_solid_boards_are_named_only_where_guidance_lets_them_span_so_far() -> None:
    # AWC DCA 6: 13 ft 3 in for solid stringers; the deck's run is 13 ft 1 1/2 in, the other's 15 ft 9 in.
    assert 'stringer.form "housed"' in checks_of(deck())["span"].mend
    long = job_of(
        {"site": {"total_rise": 108}, "stair": {"unit_run": 12.6}, "stock": [{"size": "2x12", "length": 240}]}
    )
    span = checks_of(plan(long.job))["span"]
    assert span.value is not None and span.value > 159 * 25.4
    assert "housed" not in span.mend and "supports" in span.mend


def test_the_count_that_is_named_mends_the_spacing() -> None:
    told = checks_of(deck(count=2))["spacing"]
    assert told.outcome == "over advice" and told.mend == "stringer.count 3"
    assert checks_of(deck(count=3))["spacing"].outcome == "holds"


def test_no_stringer_is_named_between_two_that_hold_the_treads_ends() -> None:
    told = checks_of(plan(job_with("closed-string").job))["spacing"]
    assert told.outcome == "over advice"
    assert "stringer.count" not in told.mend and "treads" in told.mend


def test_a_thin_throat_s_mends_stand_on_the_cover(tmp_path: Path) -> None:
    job, out = tmp_path / "dock.toml", tmp_path / "out"
    # Seven risers leave 4.82 in; six, 5.17 in.
    text = DECK.replace('total_rise = "9\'"', 'total_rise = "44 1/4"')
    job.write_text(f'{text}[stair]\nunit_run = "10 3/4"\nrisers = 7\n', encoding="utf-8")
    assert run(["export", str(job), "-o", str(out), "--despite-checks"]) == 1
    mends = json.loads((out / "result.json").read_text(encoding="utf-8"))["mends"]
    enough = [html.escape(mend["change"]) for mend in mends if mend["enough"]]
    assert enough
    page = (out / "packet.html").read_text(encoding="utf-8")
    assert f"to mend it: {'; '.join(enough)}</li>" in page


def test_a_throat_that_treads_make_thin_is_told_of_thinner_ones() -> None:
    """On a very wide board the thinnest wood is the lowest step's: rise less tread, 6 6/7 less 2 in."""
    text = "[site]\ntotal_rise = 48\n[stair]\ntread_thickness = 2\n[[stock]]\nsize = [3, 24]\nlength = 144\n"
    planned = plan(job_from_text(text).job)
    assert planned.design.part.throat == pytest.approx((48 / 7 - 2) * 25.4)
    (mend,) = [m for m in mends_of(planned) if m.enough]
    told = re.search(r"stair\.tread_thickness ([\d.]+) in", mend.change)
    assert told is not None
    thinner = plan(job_from_text(text.replace("tread_thickness = 2", f"tread_thickness = {told[1]}")).job)
    assert checks_of(thinner)["throat"].ok and checks_of(thinner)["throat"].value == pytest.approx(mend.throat)


@pytest.mark.slow
def test_several_jobs_are_told_as_one_is(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    thin = DECK.replace('total_rise = "9\'"', 'total_rise = "44 1/4"') + '[stair]\nunit_run = "10 3/4"\nrisers = 7\n'
    for name, text in (("thin", thin), ("deck", DECK)):
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    jobs = [str(tmp_path / "thin.toml"), str(tmp_path / "deck.toml")]
    assert run(["export", *jobs, "-o", str(tmp_path / "out"), "--despite-checks"]) == 1
    told = capsys.readouterr().out
    lines = [line for line in told.splitlines() if str(tmp_path) not in line]
    assert max(map(len, lines)) <= 80
    assert "what would mend it" in told and "support.at" in told and "enough" in told
