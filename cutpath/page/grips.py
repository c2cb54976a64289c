"""What of the stair's drawing can be dragged: where it stands on the canvas, and the key that follows it."""

from __future__ import annotations

from typing import Any

from cutpath.pictures.scene import scene_of
from cutpath.plan.values import Plan


def grips(plan: Plan) -> dict[str, Any]:
    """The readings that the drawing shows, or the landing, and the foot.

    Returns:
        `view`: from the stair frame, millimetres, y up, to the canvas: its scale and where the origin stands;
        `readings`: key, out and down of each; `landing`: the same of an existing one; `foot`: likewise, with the run
        and the number of runs that part it from the header face.
    """
    scene = scene_of(plan)
    stair = plan.stair
    found: dict[str, Any] = {
        "view": [scene.view.scale, scene.view.x, scene.view.y],
        "unit": plan.job.units,
        "readings": [
            {"key": f"site.profile[{number}]", "out": out, "down": down}
            for number, (out, down) in enumerate(scene.profile)
        ],
        "foot": {
            "key": "stair.unit_run",
            "out": stair.foot_out,
            "down": stair.total_rise,
            "run": stair.unit_run,
            "runs": stair.treads,
        },
    }
    if not scene.profile:
        found["landing"] = {"key": "site.total_rise", "out": scene.pad_end, "down": stair.total_rise}
    return found
