"""Jobs for tests of treads, riser boards and rail: a landing's stair, drawn without nesting it."""

from __future__ import annotations

from cutpath.job.read import job_from_text
from cutpath.pieces.values import Pieces, Rail, StairPiece
from cutpath.plan.drawn import board_widths, design
from cutpath.plan.stages import solve
from cutpath.plan.values import Design
from cutpath.rules.load import load_rules
from cutpath.units import shown_in

#: Six risers of 7 1/4 on a run of 10 1/2, riser boards of 3/4 and a nosing of 1, above an existing landing.
STEPS = """
[site]
total_rise = 43.5
[stair]
risers = 6
unit_run = 10.5
riser_board = {riser}
nosing = 1
clear_width = 40
top_tread = "{top}"
[stringer]
throat_least = 0
{stringer}
[[stock]]
size = "2x12"
length = "16'"
"""
TREADS = '[treads]\nsize = "2x6"\n'
RISERS = '[riser_boards]\nsize = "1x10"\n'
IN = 25.4


def drawn(
    more: str, riser: float = 0.75, top: str = "one-below", stringer: str = "", rules: str = "", rise: float = 43.5
) -> Design:
    text = STEPS.format(riser=riser, top=top, stringer=stringer).replace("43.5", f"{rise}")
    if rules:
        text = text.replace("[stair]", f'[stair]\nrules = "{rules}"').replace("unit_run = 10.5", "unit_run = 11.5")
    job = job_from_text(text + more).job
    rule_set, show = load_rules(job.stair.rules), shown_in(job.units)
    stair = solve(job, rule_set, show).stair
    return design(job, rule_set, stair, board_widths(job)[0], show)


def pieces(more: str, **given_: object) -> Pieces:
    found = drawn(more, **given_).pieces  # type: ignore[arg-type]
    assert found is not None
    return found


def inches(*lengths: float) -> tuple[float, ...]:
    return tuple(length / IN for length in lengths)


def only(found: Pieces, kind: str) -> StairPiece:
    (piece,) = (piece for piece in found.all if piece.kind == kind)
    return piece


def rail_of(found: Pieces) -> Rail:
    assert found.rail is not None
    return found.rail
