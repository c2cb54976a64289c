"""What files say of the work in words: the tool and its line, how deep it goes, tabs. Lengths by `show`."""

from __future__ import annotations

from collections.abc import Iterable

from cutpath.cut.paths import waste_side
from cutpath.job.values import Job
from cutpath.units import Show, many


def unit_words(job: Job) -> str:
    """The unit in words, as notes state it."""
    return "inches" if job.units == "in" else "millimetres"


def tool_lines(job: Job, stock: str, show: Show) -> tuple[str, str]:
    """Which line the file has, for which tool, and what is not cut.

    Args:
        job: with the cutter and the layers.
        stock: what stands on the stock's layer.
        show: writes millimetres as text in the job's unit.
    """
    cutter, layers = job.cutter, job.layers
    # A beam has no teeth that could climb.
    way = f", {cutter.direction} cut" if cutter.kind == "router" else ""
    return (
        (
            f"Layer {layers.cut} is the design line: compensate by half the tool's width, "
            f"to the {waste_side(cutter)} of travel."
            if cutter.path == "design"
            else f"Layer {layers.cut} is the centre line of a tool {show(cutter.width)} wide: do not compensate."
        ),
        f"Made for a {cutter.kind} {show(cutter.width)} wide{way}. Layer {layers.stock} is {stock}, never cut.",
    )


def depth_lines(job: Job, thick: Iterable[float], pockets: Iterable[float], show: Show) -> tuple[str, ...]:
    """How thick the stock is, and how deep its pockets are.

    Args:
        job: with the layers.
        thick: thicknesses of the stock that the file is for.
        pockets: depths of what is cleared in the file.
        show: writes millimetres as text in the job's unit.
    """
    stock = sorted(set(thick))
    lines = [f"Stock {' or '.join(map(show, stock))} thick; cuts and holes go through it."]
    for depth in sorted(set(pockets)):
        stays = " or ".join(show(t - depth) for t in stock)
        lines.append(
            f"Layer {job.layers.pocket}: clear inside each contour to {show(depth)} deep, face up; {stays} stays."
        )
    return tuple(lines)


def tab_lines(job: Job, count: int, show: Show) -> tuple[str, ...]:
    """How many tabs there are, how wide, and where they show; nothing where there are none.

    Args:
        job: with the tabs, the cutter and the layers.
        count: how many.
        show: writes millimetres as text in the job's unit.
    """
    if not count:
        return ()
    where = (
        f"marked on {job.layers.mark}; leave {'it' if count == 1 else 'them'} uncut"
        if job.cutter.path == "design"
        else f"on layer {job.layers.tab}; leave {'it' if count == 1 else 'them'} uncut or shallow"
        if job.tabs.shown == "layer"
        else "left out of the cut"
    )
    return (f"{many(count, 'tab')} {show(job.tabs.width)} wide, {where}.",)
