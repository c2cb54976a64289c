"""The drawings that docs/ and the README show, as the program makes them."""

from __future__ import annotations

import tempfile
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutpath.plan import Plan

FIXTURES = Path(__file__).parent.parent / "fixtures"

#: What is drawn of which job, with which keys changed (see `tests.renew_docs.edited`).
PICTURES: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "orchard-steps-stair.svg": ("stair", "orchard-steps", ()),
    "orchard-steps-stringer.svg": ("stringer", "orchard-steps", ()),
    "orchard-steps-corner.svg": ("corner", "orchard-steps", ()),
    "orchard-steps-board-01.svg": ("board", "orchard-steps", ()),
    "boat-landing-stair.svg": ("stair", "boat-landing", ()),
    "garden-room-stringer.svg": ("stringer", "garden-room", ()),
    "low-rise-stringer.svg": ("stringer", "orchard-steps", ("stair.risers = 7", "stair.unit_rise =")),
}


def planned(name: str, edits: tuple[str, ...] = ()) -> Plan:
    """A fixture's plan, with keys changed."""
    from cutpath.jobfile.read import read_job
    from cutpath.plan import plan
    from cutpath.rules.load import load_rules
    from cutpath.units import show
    from tests.renew_docs import edited

    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"{name}.toml"
        path.write_text(edited((FIXTURES / path.name).read_text(encoding="utf-8"), list(edits)), encoding="utf-8")
        job = read_job(path).job
    rules = load_rules(job.stair.rules)
    return plan(job, rules, lambda mm: show(mm, job.units))


def picture(name: str) -> str:
    """One drawing as SVG."""
    from cutpath.files.pictures.board import board_svg
    from cutpath.files.pictures.corner import corner_svg
    from cutpath.files.pictures.elevation import stair_svg
    from cutpath.files.pictures.notches import stringer_svg

    kind, job, edits = PICTURES[name]
    drawn = planned(job, edits)
    if kind == "board":
        return board_svg(drawn, 0)
    return {"stair": stair_svg, "stringer": stringer_svg, "corner": corner_svg}[kind](drawn)
