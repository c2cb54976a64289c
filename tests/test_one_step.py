"""A stair of one tread: a block without notches, of which nothing is said that a stair with notches has."""

from __future__ import annotations

import shapely

from cutpath.job.read import job_from_text
from cutpath.pattern.pdf import pattern_pdf
from cutpath.pictures.board import board_canvas, board_svg, board_view
from cutpath.pictures.notches import stringer_svg
from cutpath.plan.stages import plan
from cutpath.tables.site_text import tape_text
from cutpath.work.boards import board_program, label_places
from cutpath.work.registration import fence_words
from tests.pattern_reader import opened

STEP = """
[job]
name = "Small step"
[site]
total_rise = 12
[stair]
risers = 2
tread_thickness = "1 1/2"
nosing = 1
[stringer]
count = 3
[[stock]]
size = "2x12"
length = "8'"
"""


def test_a_step_without_notches_is_told_without_them() -> None:
    planned = plan(job_from_text(STEP).job)
    done = board_program(planned, 0, label_places(planned))
    (page,) = opened(pattern_pdf(planned)).pages
    for said in (
        " ".join(page.extract_text().split()),
        stringer_svg(planned),
        tape_text(planned),
        fence_words(planned, 0, lambda mm: f"{float(mm):g}"),
        board_svg(planned, 0, done),
    ):
        assert "notched" not in said and "inside corner" not in said
        assert "tip to tip" not in said and "saw at" not in said
    three = plan(
        job_from_text(STEP.replace("total_rise = 12", "total_rise = 18").replace("risers = 2", "risers = 3")).job
    )
    (page,) = opened(pattern_pdf(three)).pages
    assert "notched edge up" in " ".join(page.extract_text().split()) and "tip to tip" in tape_text(three)


def test_what_points_at_a_part_ends_in_its_wood() -> None:
    planned = plan(job_from_text(STEP).job)
    done = board_program(planned, 0, label_places(planned))
    view = board_view(planned, 0)
    canvas = board_canvas(planned, 0, done)
    dots = [shapely.Point(x, y) for marks in canvas._marks for x, y, _, filled in marks.dots if filled]
    parts = [
        shapely.Polygon([view(p) for p in planned.part_of(one).outline.moved(one.motion).points])
        for one in planned.layout.boards[0].parts
    ]
    assert len(dots) == len(parts) == 3
    assert all(part.contains(dot) for part, dot in zip(parts, dots, strict=True))
