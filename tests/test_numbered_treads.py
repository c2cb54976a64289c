"""Treads are numbered alike everywhere: from the top, the first is 1, level with the floor or one rise below it."""

import itertools
import json
import re

import pytest

from cutpath.tables.site_text import tape_text
from tests.jobs import export_of, job_with, plan_of
from tests.pattern_reader import opened


@pytest.mark.slow
@pytest.mark.parametrize("top_tread", ["at-floor", "one-below"])
def test_treads_are_numbered_from_1_everywhere(top_tread: str) -> None:
    read = job_with(stair={"top_tread": top_tread, "header_depth": None})
    planned = plan_of(read)
    made = export_of(read)
    data = json.loads(made.files["result.json"])
    treads = list(range(1, planned.stair.treads + 1))
    assert [step["tread"] for step in data["set_out"]["steps"]] == treads
    # The last tread's back is the lowest notch; the first one's back is the plumb cut, which is no notch.
    assert [notch["n"] for notch in data["stringer"]["notches"]] == treads[1:]
    packet = made.files["packet.html"].decode()
    assert list(map(int, dict.fromkeys(re.findall(r"nosing of tread (\d+)", packet)))) == treads
    assert "nosing of step" not in packet
    # The first tread's nosing as the packet's points have it is that of the set-out.
    _, down = data["set_out"]["steps"][0]["nosing"]
    assert down == (0 if top_tread == "at-floor" else pytest.approx(data["stair"]["unit_rise"]))
    # The pattern names each notch by the tread that it seats, from the stair's upper end at the left.
    (page,) = opened(made.files["pattern.pdf"]).pages
    found = [(float(w["x0"]), n["text"]) for w, n in itertools.pairwise(page.extract_words()) if w["text"] == "tread"]
    assert [int(number) for _, number in sorted(found)] == treads[1:]
    # The tape sheet's tips are the treads' fronts, its corners their backs.
    marks = [mark["name"] for mark in data["tape"]["marks"]]
    assert [int(m.removeprefix("tip ")) for m in marks if m.startswith("tip ")] == treads
    assert [int(m.removeprefix("corner ")) for m in marks if m.startswith("corner ")] == treads[1:]
    said = tape_text(planned)
    assert all(f"tip {n}" in said for n in treads) and f"tip {len(treads) + 1}" not in said and "tip 0" not in said


@pytest.mark.slow
@pytest.mark.parametrize("name", ["closed-string", "steel-plate"])
def test_treads_without_teeth_are_numbered_from_the_top_too(name: str) -> None:
    read = job_with(name)
    planned = plan_of(read)
    data = json.loads(export_of(read).files["result.json"])
    treads = list(range(1, planned.stair.treads + 1))
    assert [step["tread"] for step in data["set_out"]["steps"]] == treads
    marks = [int(found[1]) for mark in data["tape"]["marks"] if (found := re.match(r"tread (\d+)", mark["name"]))]
    assert list(dict.fromkeys(marks)) == treads
