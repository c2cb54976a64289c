"""Jobs for tests of a stringer's form: a landing's stair, drawn without nesting it."""

import tomllib
from pathlib import Path

from cutpath.design.stair import Stair
from cutpath.job.read import job_of
from cutpath.job.values import Job
from cutpath.plan.drawn import design
from cutpath.plan.stages import solve
from cutpath.plan.values import Design
from cutpath.rules.load import load_rules
from cutpath.units import show

# A stair of 8 risers of 175 on a run of 280; all lengths in millimetres.
BASE = """
units = "mm"
[job]
name = "Byre"
[site]
total_rise = 1400
[stair]
risers = 8
unit_run = 280
tread_thickness = 35
riser_board = {riser}
nosing = 20
clear_width = 915
"""
STOCK = """
[[stock]]
size = [45, 320]
length = 3600
"""


def job(text: str = "", riser: float = 0, stock: str = STOCK) -> Job:
    return job_of(tomllib.loads(BASE.format(riser=riser) + text + stock), Path("a.toml")).job


def drawn(text: str = "", riser: float = 0, stock: str = STOCK) -> tuple[Stair, Design]:
    return _drawn(job(text, riser, stock))


def designed(whole: str) -> Design:
    """Of a whole job's text."""
    return _drawn(job_of(tomllib.loads(whole), Path("a.toml")).job)[1]


def _drawn(made: Job) -> tuple[Stair, Design]:
    def words(mm: float) -> str:
        return show(mm, made.units)

    rules = load_rules(made.stair.rules)
    stair = solve(made, rules, words).stair
    return stair, design(made, rules, stair, made.stock[0].least_width, words)
