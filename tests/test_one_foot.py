"""The toe is one place: foot, run, reveal, landing, set-out and picture are measured from it, whatever the form."""

import json
import math
from pathlib import Path
from typing import Any

import pytest

from cutpath.design.profile import drop_at
from cutpath.job.read import job_of
from cutpath.plan.solved import solved
from cutpath.report.check import check_text
from cutpath.report.solve import solve_text
from cutpath.tables.site_text import setout_text
from tests.jobs import export_of, plan_of

FORMS: dict[str, dict[str, Any]] = {
    "notched": {"throat_least": 0},
    "notched with a sill": {"throat_least": 0, "sill_notch": {"deep": 90, "high": 38}},
    "housed": {"form": "housed", "count": 2, "throat_least": 0},
    "housed with a sill": {"form": "housed", "count": 2, "throat_least": 0, "sill_notch": {"deep": 90, "high": 38}},
    "plate": {"form": "plate", "throat_least": 0, "plate": {"profile": "straight", "bracket": {"count": 0}}},
    "saw-tooth plate": {"form": "plate", "throat_least": 0, "plate": {"profile": "saw-tooth", "bracket": {"count": 0}}},
}
PROFILE = [[0, 1100], [1500, 1180], [3000, 1290], [5000, 1400]]


@pytest.mark.slow
@pytest.mark.parametrize(
    ("form", "riser_board"),
    # Each form with one or the other, and the first with both.
    [("notched", 18), *((form, (0, 18)[n % 2]) for n, form in enumerate(FORMS))],
)
def test_the_toe_is_one_place(form: str, riser_board: float) -> None:
    read = job_of(
        {
            "units": "mm",
            "site": {"profile": PROFILE},
            "stair": {"unit_run": 270, "tread_thickness": 40, "riser_board": riser_board, "clear_width": 920},
            "stringer": FORMS[form],
            "stock": [{"size": [45, 330], "length": 4800}],
        },
        Path("foot.toml"),
    )
    plan = plan_of(read)
    made = export_of(read)
    data = json.loads(made.files["result.json"])
    # Where the part that is cut stands on the pad, taken from its outline alone.
    back = plan.design.stringer.to_board.inverse()
    ahead = [back(p) for p in plan.design.part.outline.points]
    toe = max(x for x, y in ahead if y < -plan.stair.total_rise + 60)
    foot = data["stair"]["foot"]
    assert foot["out"] == pytest.approx(toe) == data["stair"]["total_run"]
    (chosen,) = (row for row in data["set_out"]["feet"] if row["chosen"])
    assert chosen["out"] == pytest.approx(toe)
    assert chosen["slope"] == pytest.approx(math.hypot(toe, foot["down"]))
    pad = data["set_out"]["pad"]
    far = next(edge["out"] for edge in pad["edges"] if edge["name"] == "far")
    assert far == pytest.approx(toe + pad["landing"])
    drop = drop_at(tuple((a, b) for a, b in PROFILE), toe)
    assert drop is not None and data["stair"]["pad_reveal"] == pytest.approx(drop - foot["down"])
    seat = data["set_out"]["sill"]["out"][1] if data["set_out"]["sill"] else data["set_out"]["seat"][1]
    assert seat == pytest.approx(toe)
    if "toe_out" in data["stringer"]:
        assert data["stringer"]["toe_out"] == pytest.approx(toe)
    shown = f"{toe:.2f}".rstrip("0").rstrip(".")
    for text in (check_text(plan, ()), setout_text(plan), solve_text(solved(read.job))):
        assert shown in text
    assert f"{toe:.0f}" in made.files["pictures/stair.svg"].decode()


@pytest.mark.parametrize(("form", "front"), [("notched", 18), ("housed", 0)])
def test_the_landing_is_clear_in_front_of_the_toe_or_the_riser_before_it(form: str, front: float) -> None:
    read = job_of(
        {
            "units": "mm",
            "site": {"profile": PROFILE},
            "stair": {"unit_run": 270, "tread_thickness": 40, "riser_board": 18, "clear_width": 920},
            "stringer": FORMS[form],
            "stock": [{"size": [45, 330], "length": 4800}],
        },
        Path("foot.toml"),
    )
    pad = json.loads(export_of(read).files["result.json"])["set_out"]["pad"]
    # The rule set's landing, 36 in, is kept in front of whatever stands foremost on the pad.
    assert pad["landing"] == pytest.approx(914.4 + front) and pad["clear"] == pytest.approx(914.4)
