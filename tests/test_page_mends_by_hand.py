"""What the page offers to change, how lengths are read back and what can be dragged: small jobs, no page."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from cutpath.faults import Fault
from cutpath.job.read import job_from_text
from cutpath.page import mended as mending
from cutpath.page.edit import typed_in
from cutpath.page.grips import grips
from cutpath.page.mended import mended
from cutpath.page.understood import understood
from cutpath.plan.stages import plan_unlaid
from cutpath.plan.values import Plan
from cutpath.plan.ways import Way

#: Eleven risers; the flight is longer than the six feet that guidance lets a notched board span.
DECK = """[site]
total_rise = 84
[stair]
clear_width = 36
[stringer]
count = 2
throat_least = 3
[[support]]
at = 30
[[stock]]
size = "2x12"
length = 240
"""
AT = Path("deck.toml")


@pytest.fixture(scope="module")
def planned() -> Plan:
    return plan_unlaid(job_from_text(DECK, AT).job)


def offered(monkeypatch: pytest.MonkeyPatch, planned: Plan, *ways: Way) -> list[dict[str, Any]]:
    monkeypatch.setattr(mending, "ways_of", lambda plan: ways)
    return mended(planned, DECK, AT)


def test_rows_that_are_not_there_are_added_before_their_keys_are_set() -> None:
    def to_do(**rows: int) -> list[tuple[str, str]]:
        sets = (("support[1].at", "60"), ("support[1].length", "4"), ("support[3].at", "90"), ("stringer.count", "3"))
        return [(each["do"], each["key"]) for each in mending._changes(sets, rows)]

    both = [("set", "support[1].at"), ("set", "support[1].length")]
    add, last = ("add", "support"), [("set", "support[3].at"), ("set", "stringer.count")]
    assert to_do(support=1) == [add, *both, add, add, *last]
    assert to_do(support=2) == [*both, add, add, *last]
    assert to_do(support=4) == [*both, *last]
    assert to_do() == [add, add, *both, add, add, *last]
    assert [each["do"] for each in mending._changes((("support[0].at", "60"),), {})] == ["add", "set"]
    assert mending._changes((("stringer.count", "3"),), {}) == [{"do": "set", "key": "stringer.count", "typed": "3"}]


def test_the_first_step_that_mends_is_offered_with_what_it_gives(
    planned: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Of 36 in three stringers leave 17 1/4 from centre to centre, and 18 is the most."""
    steps = tuple((("stringer.count", str(count)),) for count in (2, 3, 4))
    (found,) = offered(monkeypatch, planned, Way("spacing", "more stringers", steps))
    assert found["gives"] == "spacing 17.25 (1'-5 1/4\")" and found["enough"] is True and found["fails"] == []
    assert found["changes"] == [{"do": "set", "key": "stringer.count", "typed": "3"}]
    assert (found["check"], found["change"]) == ("spacing", "more stringers")


def test_what_a_change_breaks_is_told_but_not_what_fails_already(
    planned: Plan, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert planned.design.failing == ()
    way = Way("spacing", "", (((("stringer.count", "3")), ("stringer.throat_least", "9")),))
    (found,) = offered(monkeypatch, planned, way)
    assert found["fails"] == ["throat"]
    thin = plan_unlaid(job_from_text(DECK.replace("throat_least = 3", "throat_least = 9"), AT).job)
    assert "throat" in thin.design.failing
    (found,) = offered(monkeypatch, thin, way)
    assert found["fails"] == []


def test_what_does_not_mend_or_can_t_be_is_not_offered(planned: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    none = (
        Way("spacing", "too few", ((("stringer.count", "2"),),)),
        Way("spacing", "no count", ((("stringer.count", "0"),),)),
        Way("no-such-check", "", ((("stringer.count", "3"),),)),
        Way("spacing", "", ()),
    )
    assert offered(monkeypatch, planned, *none) == []


def test_what_was_tried_already_is_told_as_it_is(planned: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    words = Way("throat", "wider stock", (), "throat 5 in", enough=False)
    keys = Way("throat", "another count", ((("support[1].at", "60"),),), "throat 6 in", enough=True)
    told = offered(monkeypatch, planned, words, keys)
    assert [(each["gives"], each["enough"], each["fails"]) for each in told] == [
        ("throat 5 in", False, []),
        ("throat 6 in", True, []),
    ]
    assert told[0]["changes"] == []
    assert [each["do"] for each in told[1]["changes"]] == ["add", "set"]


def test_no_more_is_tried_than_a_bound(planned: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two dozen trials in all: of three ways of ten the last has four."""
    tried: list[str] = []

    def never(plan: object, way: Way, *_: object) -> None:
        tried.append(way.words)

    monkeypatch.setattr(mending, "_tried", never)
    ways = [Way("span", words, tuple((("stringer.count", str(n)),) for n in range(10))) for words in "abc"]
    assert offered(monkeypatch, planned, *ways) == []
    assert tried == [*"a" * 10, *"b" * 10, *"c" * 4]
    monkeypatch.setattr(mending, "_MOST_TRIALS", 10)
    tried.clear()
    assert offered(monkeypatch, planned, *ways) == [] and tried == [*"a" * 10]


def test_a_fault_of_the_changed_text_is_no_traceback(planned: Plan, monkeypatch: pytest.MonkeyPatch) -> None:
    def faulty(text: object, path: object) -> None:
        raise Fault("no")

    monkeypatch.setattr(mending, "job_from_text", faulty)
    assert offered(monkeypatch, planned, Way("spacing", "", ((("stringer.count", "3"),),))) == []


# How lengths were understood.

ODD = """units = "{units}"
[site]
{site}
[machine]
bed = [{bed}]
[[stock]]
size = "2x12"
length = {length}
widths = [{widths}]
defects = [[{from_}, {to}]]
"""


def test_lengths_are_read_back_by_their_keys_in_inches() -> None:
    site = 'profile = [[0, 30], {along = 50, down = "3\'-6"}, [80.5, 44]]'
    text = ODD.format(units="in", site=site, bed='48, "8\'"', length='"12\'"', widths="11.25, 11.125", from_=20, to=24)
    told = understood(job_from_text(text, AT))
    # Along a taut tape of 50 with 42 down: level it is the root of 736 out.
    assert told["site.profile[1].down"] == "42 in (3'-6\")" and told["site.profile[1].out"].startswith("27.1293 in")
    assert told["site.profile[1].along"] == "50 in (4'-2\")"
    assert told["site.profile[2].out"] == "80.5 in (6'-8 1/2\")"
    assert told["machine.bed"] == "48 in (4'-0\"), 96 in (8'-0\")"
    assert told["stock[0].length"] == "144 in (12'-0\")"
    assert told["stock[0].widths"] == "11.25 in (11 1/4), 11.125 in (11 1/8)"
    assert told["stair.tread_thickness"] == "1.5 in (1 1/2)"
    assert "site.total_rise" not in told and "stringer.count" not in told and "units" not in told


def test_lengths_are_read_back_in_millimetres() -> None:
    text = ODD.format(
        units="mm", site="total_rise = 1200", bed="1250, 2500", length=3600, widths="285, 284.5", from_=500, to=600
    )
    told = understood(job_from_text(text, AT))
    assert told["site.total_rise"] == "1200 mm" and told["machine.bed"] == "1250 mm, 2500 mm"
    assert told["stock[0].widths"] == "285 mm, 284.5 mm" and told["stock[0].length"] == "3600 mm"


def test_every_length_that_is_typed_is_read_back() -> None:
    """A field that says nothing of what was understood is one where a slip stays unseen."""
    taut, level = (f"profile = [[0, 820], {second}]" for second in ("{along = 1300, down = 500}", "[1200, 500]"))
    for site in (taut, level):
        text = f'units = "mm"\n[site]\n{site}\n[cutter]\nwidth = 6\n[[stock]]\nsize = [45, 295]\nlength = 3600\n'
        told, values = understood(job_from_text(text, AT)), typed_in(text)["values"]
        assert set(values) - set(told) == {"units", "stock[0].size"}
        assert told["site.profile[1].down"] == "500 mm"
    assert understood(job_from_text(f'units = "mm"\n[site]\n{taut}', AT))["site.profile[1].along"] == "1300 mm"


def test_what_can_be_dragged_stands_where_the_stair_does(planned: Plan) -> None:
    found = grips(planned)
    stair = planned.stair
    assert found["foot"] == {
        "key": "stair.unit_run",
        "out": stair.foot_out,
        "down": pytest.approx(84 * 25.4),
        "run": stair.unit_run,
        "runs": stair.treads,
    }
    assert found["readings"] == [] and found["landing"]["key"] == "site.total_rise"
    assert found["landing"]["out"] > stair.foot_out and found["unit"] == "in"
    ground = DECK.replace("total_rise = 84", "profile = [[0, 80], [100, 84], [200, 86]]")
    found = grips(plan_unlaid(job_from_text(ground, AT).job))
    assert [(each["key"], round(each["out"] / 25.4), round(each["down"] / 25.4)) for each in found["readings"]] == [
        ("site.profile[0]", 0, 80),
        ("site.profile[1]", 100, 84),
        ("site.profile[2]", 200, 86),
    ]
    assert "landing" not in found
