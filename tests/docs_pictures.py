"""The drawings that docs/ and the README show, as the program makes them."""

from __future__ import annotations

import tempfile
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from cutpath.plan.values import Plan

FIXTURES = Path(__file__).parent.parent / "fixtures"

#: What is drawn of which job, with which keys changed (see `tests.renew_docs.edited`).
PICTURES: dict[str, tuple[str, str, tuple[str, ...]]] = {
    "orchard-steps-stair.svg": ("stair", "orchard-steps", ()),
    "orchard-steps-stringer.svg": ("stringer", "orchard-steps", ()),
    "orchard-steps-corner.svg": ("corner", "orchard-steps", ()),
    "orchard-steps-board-01.svg": ("board", "orchard-steps", ()),
    "orchard-steps-plan.svg": ("plan.svg", "orchard-steps", ()),
    "orchard-steps-tread.svg": ("tread-1.svg", "orchard-steps", ()),
    "orchard-steps-rail.svg": ("rail.svg", "orchard-steps", ()),
    "orchard-steps-rail-cuts.svg": ("rail-cuts.svg", "orchard-steps", ()),
    "boat-landing-stair.svg": ("stair", "boat-landing", ()),
    "boat-landing-board-01.svg": ("board", "boat-landing", ()),
    "boat-landing-pitch-gauge.svg": ("gauge", "boat-landing", ()),
    "orchard-steps-strength.svg": ("strength", "orchard-steps", ()),
    "garden-room-stringer.svg": ("stringer", "garden-room", ()),
    "orchard-steps-set-up-1.svg": ("setup-1", "orchard-steps", ("machine.bed = [60, 60]",)),
    "orchard-steps-set-up-2.svg": ("setup-2", "orchard-steps", ("machine.bed = [60, 60]",)),
    "orchard-steps-set-up-3.svg": ("setup-3", "orchard-steps", ("machine.bed = [60, 60]",)),
    "closed-string-stringer.svg": ("stringer", "closed-string", ()),
    "steel-plate-stringer.svg": ("stringer", "steel-plate", ()),
    "garden-room-shared.svg": ("shared", "garden-room", ("machine.bed =", "machine.common_cuts = true")),
    "low-rise-stringer.svg": ("stringer", "orchard-steps", ("stair.risers = 7", "stair.unit_rise =")),
}

#: What `tests.renew_page_pictures` shows of the live page.
PAGE_PICTURES = ("page-desktop.webp", "page-phone.webp", "page-mends.webp")


@cache
def planned(name: str, edits: tuple[str, ...] = ()) -> Plan:
    """A fixture's plan, with keys changed."""
    from cutpath.job.read import read_job
    from cutpath.plan.stages import plan
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
    from cutpath.pictures.board import board_svg
    from cutpath.pictures.corner import corner_svg
    from cutpath.pictures.elevation import stair_svg
    from cutpath.pictures.notches import stringer_svg
    from tests.jobs import board_work

    kind, job, edits = PICTURES[name]
    drawn = planned(job, edits)
    if kind.endswith(".svg"):
        from cutpath.export.outputs import Of, made

        return made("job drawn", Of(drawn))[kind].decode()
    if kind == "gauge":
        from cutpath.pictures.gauge import gauge_part, gauge_svg

        gauge = gauge_part(drawn)
        assert gauge is not None, "the job asks for one"
        return gauge_svg(drawn, gauge)
    if kind == "board":
        return board_svg(drawn, 0, board_work(drawn))
    if kind == "strength":
        from cutpath.pictures.strength import strength_svg

        return strength_svg(drawn)
    if kind == "shared":
        from cutpath.pictures.shared import shared_svg

        return shared_svg(drawn, 0, board_work(drawn))
    if kind.startswith("setup-"):
        from cutpath.pictures.setup import setup_svg

        return setup_svg(drawn, 0, board_work(drawn), int(kind.removeprefix("setup-")))
    svg = {"stair": stair_svg, "stringer": stringer_svg, "corner": corner_svg}[kind](drawn)
    assert svg is not None, f"{name}: there is nothing to draw"
    return svg
