"""The trial piece and what reliefs cost."""

import math

import pytest

from cutpath.cut.relief_cost import relief_costs, relief_in_sight
from cutpath.cut.trial import trial_piece
from cutpath.drawing import Drawing
from cutpath.faults import FileMismatch
from cutpath.units import show
from cutpath.work.trial_piece import check_trial, trial_drawing
from tests.jobs import job_with, plan_of

IN = 25.4


def in_inches(mm: float) -> str:
    return show(mm, "in")


@pytest.mark.parametrize("units", ["in", "mm"])
@pytest.mark.parametrize("width", [0.2, 9.525, 12.7, 25.0])
@pytest.mark.parametrize("relief", ["diagonal", "riser-side", "tread-side", "none"])
def test_slot_and_hole_lie_inside_and_take_the_tool(units, width, relief) -> None:
    piece = trial_piece(units, relief, width)
    outline, slot = piece.outline.polygon(), piece.slot.polygon()
    assert outline.is_valid and outline.exterior.is_ccw
    assert outline.buffer(-width / 2).contains(slot), "the wood between is as wide as half the tool"
    hole = piece.hole
    assert slot.distance(outline.exterior) > width / 2
    assert math.dist(hole.centre, piece.corner) > hole.diameter / 2 + width
    assert min(piece.slot_size) > width and hole.diameter > width
    assert slot.area == pytest.approx(
        (piece.slot_size[0] - piece.slot_size[1]) * piece.slot_size[1] + math.pi / 4 * piece.slot_size[1] ** 2, rel=1e-4
    )


@pytest.mark.parametrize("path", ["design", "centre"])
@pytest.mark.parametrize("direction", ["climb", "conventional"])
@pytest.mark.parametrize("corner", ["relieved", "rounded"])
def test_it_passes_its_own_simulated_cut_and_a_wrong_one_does_not(path, direction, corner) -> None:
    planned = plan_of(job_with(cutter={"path": path, "direction": direction, "corner": corner}))
    drawing = trial_drawing(planned, in_inches)
    check_trial(planned, drawing)
    without = Drawing(drawing.chains, (), drawing.notes)
    with pytest.raises(FileMismatch, match="trial"):
        check_trial(planned, without)


def test_relief_costs_are_those_of_plain_trigonometry() -> None:
    """Tool centre R from the corner: R sqrt 2 of both sides on the diagonal, 2 R of one side along it."""
    planned = plan_of(job_with())
    costs = {c.relief: c for c in relief_costs(planned.design.stringer, 4.7625)}
    theta = planned.stair.pitch
    r = 4.7625
    assert costs["none"].throat_loss == 0
    assert costs["diagonal"].throat_loss == pytest.approx(r * (1 - math.cos(math.pi / 4 - theta)), abs=1e-6)
    assert costs["riser-side"].throat_loss == pytest.approx(r * (1 - math.cos(theta)), abs=1e-6)
    assert costs["tread-side"].throat_loss == pytest.approx(r * (1 - math.sin(theta)), abs=1e-6)
    assert costs["diagonal"].seat_loss == costs["diagonal"].riser_loss == pytest.approx(r * math.sqrt(2))
    assert (costs["riser-side"].seat_loss, costs["riser-side"].riser_loss) == (0, 2 * r)
    assert (costs["tread-side"].seat_loss, costs["tread-side"].riser_loss) == (2 * r, 0)


def test_a_relief_that_shows_above_the_tread_is_said() -> None:
    """Open risers: what the relief opens above the tread's thickness stays in sight."""
    open_risers = {"riser_board": 0, "tread_thickness": 0.25}
    shows = plan_of(job_with(stair=open_risers))
    found = relief_in_sight(shows.design.part, shows.job.cutter.radius, shows.stair)
    assert found is not None and not found.ok and not found.required
    assert found in shows.design.checks
    thick = plan_of(job_with(stair={"riser_board": 0}))
    assert relief_in_sight(thick.design.part, thick.job.cutter.radius, thick.stair).ok
    covered = plan_of(job_with(stair={"tread_thickness": 0.25}))
    assert relief_in_sight(covered.design.part, covered.job.cutter.radius, covered.stair) is None


def bolted():
    """A job whose bolt near the uppermost notch lies nearer to it than the lower edge does."""
    holes = [{"what": "post bolt", "diameter": 0.5, "near": "tread", "tread": 1, "at": [2.5, 3.5]}]
    return plan_of(job_with(holes=holes, stringer={"throat_least": 4}))


def test_what_reliefs_cost_counts_holes_as_the_throat_does() -> None:
    planned = bolted()
    part = planned.design.part
    costs = {c.relief: c.throat for c in relief_costs(planned.design.stringer, planned.job.cutter.radius, part.rims)}
    assert costs[part.relief] == pytest.approx(part.throat)
    assert part.throat == pytest.approx(max(t for relief, t in costs.items() if relief != "none"))
    without = {c.relief: c.throat for c in relief_costs(planned.design.stringer, planned.job.cutter.radius)}
    assert costs["none"] < without["none"], "the bolt takes wood from behind a notch"


def test_the_drawing_s_throats_end_where_they_were_measured_to() -> None:
    from cutpath.pictures.notches import nearest_behind

    part = bolted().design.part
    reliefs = {c.tread: c.relief for c in part.corners}
    for notch in part.notches:
        start, end = nearest_behind(part, notch.corner, reliefs[notch.tread])
        assert math.dist(start, end) == pytest.approx(notch.throat, abs=0.02)
