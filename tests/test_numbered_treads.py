"""Treads are numbered alike everywhere: from the top, the first is 1, level with the floor or one rise below it."""

import json
import re

import pytest

from cutpath.export.one import export_files
from tests.jobs import job_with, plan_of


@pytest.mark.parametrize("top_tread", ["at-floor", "one-below"])
def test_treads_are_numbered_from_1_everywhere(top_tread: str) -> None:
    read = job_with(stair={"top_tread": top_tread, "header_depth": None})
    planned = plan_of(read)
    made = export_files(planned, read.values, (), with_cuts=True)
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
