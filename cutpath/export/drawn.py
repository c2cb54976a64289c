"""The drawings of jobs and boards as bytes, by path. Nothing is written here."""

from __future__ import annotations

from cutpath.plan.values import Plan
from cutpath.work.file_paths import board_number
from cutpath.work.values import Work


def job_pictures(plan: Plan, folder: str) -> dict[str, bytes]:
    """A job's own drawings by path: the stair, the stringer, its inside corners and its pitch gauge if it has any."""
    from cutpath.pictures import corner_svg, gauge_part, gauge_svg, stair_svg, stringer_svg

    drawn = {"stair": stair_svg(plan), "stringer": stringer_svg(plan)}
    if plan.design.strength is not None:
        from cutpath.pictures.strength import strength_svg

        drawn["strength"] = strength_svg(plan)
    corners = corner_svg(plan)
    if corners is not None:
        drawn["corners"] = corners
    gauge = gauge_part(plan)
    if gauge is not None:
        drawn["pitch-gauge"] = gauge_svg(plan, gauge)
    return {f"{folder}/{name}.svg": svg.encode() for name, svg in drawn.items()}


def board_pictures(plan: Plan, work: Work) -> dict[str, bytes]:
    """The drawings of the boards, of cuts shared on them and of their set-ups by path."""
    from cutpath.pictures import board_svg

    count = len(plan.layout.boards)
    drawn = {f"board-{board_number(i, count)}": board_svg(plan, i, done) for i, done in enumerate(work.boards)}
    for i, done in enumerate(work.boards):
        if plan.layout.boards[i].common:
            from cutpath.pictures.shared import shared_svg

            drawn[f"board-{board_number(i, count)}-shared"] = shared_svg(plan, i, done)
        if done.set_ups:
            from cutpath.pictures.setup import setup_svg

            for one in done.set_ups:
                drawn[f"board-{board_number(i, count)}-setup-{one.number}"] = setup_svg(plan, i, done, one.number)
    return {f"pictures/{name}.svg": svg.encode() for name, svg in drawn.items()}
