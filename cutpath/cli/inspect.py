"""The command line's `inspect`: a file read, what is wrong with it printed, and the status."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec import Struct

from cutpath.cli.output import note_changed, put
from cutpath.cli.steps import CHECK_FAILS, DONE, print_json
from cutpath.faults import Fault, OutputRefused

if TYPE_CHECKING:
    from cutpath.inspect.values import Seen
    from cutpath.plan.values import Plan


#: Layers that are named where one isn't there.
_SOME = 12


class Asked(Struct, frozen=True):
    """What `inspect` was asked for besides its file, by the options' names."""

    against: tuple[Path, ...]
    stock: Path | None
    tool: str | None
    cut_layers: tuple[str, ...]
    picture: Path | None
    as_json: bool


def inspect(file: Path, asked: Asked) -> int:
    """Read a file and say what is wrong with it.

    Args:
        file: a DXF.
        asked: the options.

    Returns:
        The exit status: 1 where something spoils a cut.

    Raises:
        click.UsageError: a stock file is named, and no job that was cut from it.
        Fault: the file can't be read, or an option can't be used.
    """
    from cutpath.inspect.read import read
    from cutpath.inspect.whole import inspect_against, inspect_seen

    if asked.stock is not None and not asked.against:
        raise click.UsageError("--stock needs the job that was cut from it: --against JOB")
    if asked.picture is not None:
        refuse_to_replace(asked.picture)
    seen = read(file)
    unit = seen.told_in
    tool = None if asked.tool is None else length_of("--tool", asked.tool, unit)
    no_such_layers(seen, asked.cut_layers)
    if not asked.against:
        found = inspect_seen(seen, cut_layers=asked.cut_layers, tool=tool)
    else:
        from cutpath.inspect.against.of_job import of_job
        from cutpath.units import shown_in

        plan, jobs = _planned(file, asked.against, asked.stock)
        found = inspect_against(seen, of_job(plan, jobs), shown_in(plan.job.units), asked.cut_layers, tool)
    if asked.picture is not None:
        from cutpath.pictures.inspected import inspected_svg

        put_file(asked.picture, inspected_svg(found).encode("utf-8", "replace"))
    if asked.as_json:
        from cutpath.tables.inspected import inspected_data

        print_json(inspected_data(found))
    else:
        from cutpath.report.inspect import inspect_text

        put(inspect_text(found))
    return CHECK_FAILS if found.spoils else DONE


def _planned(file: Path, jobs: Sequence[Path], stock: Path | None) -> tuple[Plan, Sequence[Plan]]:
    """The plan that a file is held against, of several jobs as they are cut together; and each job's own."""
    from cutpath.cli.steps import gathered, planned_or_missing, read, read_rack
    from cutpath.plan.stock import with_stock
    from cutpath.stockfile.shelf import no_shelf, shelf_before

    rack = read_rack(stock)
    shelf = shelf_before(stock, rack, file) if stock and rack else no_shelf
    if len(jobs) > 1:
        together = gathered(jobs, shelf, 0.0, go_on=False, despite_checks=True).together
        return together.whole, together.plans
    alone = read(jobs[0])
    alone, keep = with_stock(alone, shelf([alone.job.name]))
    # Boards that are sold out meanwhile change nothing of what a part is.
    plan, _ = planned_or_missing(alone.job, keep)
    return plan, (plan,)


def no_such_layers(seen: Seen, named: Sequence[str]) -> None:
    """Refuse names of layers on which nothing lies.

    Raises:
        Fault: naming what there is.
    """
    from cutpath.units import quoted

    there = {item.layer.casefold(): item.layer for item in seen.items}
    for name in named:
        if name.casefold() not in there:
            some = ", ".join(quoted(each) for each in list(there.values())[:_SOME])
            more = f" and {len(there) - _SOME} more" if len(there) > _SOME else ""
            has = f"there are {some}{more}" if there else "nothing is drawn in it"
            raise Fault(f"--cut-layer: nothing lies on a layer {quoted(name)} in {seen.name}; {has}")


def length_of(option: str, text: str, unit: str) -> float:
    """A length that an option was given, millimetres.

    Raises:
        Fault: it is none, or not above nothing.
    """
    from cutpath.units import parse_length

    try:
        found = float(parse_length(text, "in" if unit == "in" else "mm"))
    except ValueError as why:
        raise Fault(f"{option}: {why}") from None
    if not 0 < found < 1000:
        raise Fault(f"{option}: must be above 0 and under 1000 mm; give a width such as 1/4in or 6mm")
    return found


def refuse_to_replace(file: Path, *, force: bool = False) -> None:
    """Refuse a place where something stands, before any work is done for it.

    Raises:
        OutputRefused: something stands there, and `force` doesn't allow for it.
    """
    import os

    if not force and os.path.lexists(file):
        raise OutputRefused(f"{file}: is there already and was left as it is; give another name")


def put_file(file: Path, data: bytes, *, force: bool = False) -> None:
    """Write a file where nothing stands, or with `force` in the place of one; either is whole whatever breaks off.

    Raises:
        OutputRefused: it can't be written; nothing is half written.
    """
    from cutpath.disk import put_new, write_new

    try:
        if force and file.is_file():
            draft = file.with_name(f".{file.name}.cutpath-new")
            draft.unlink(missing_ok=True)
            write_new(draft, data)
            draft.replace(file)
        else:
            put_new(file, data)
    except FileExistsError:
        raise OutputRefused(f"{file}: is there already and was left as it is; give another name") from None
    except (OSError, ValueError) as why:
        reason = getattr(why, "strerror", None) or "it is no file's name"
        raise OutputRefused(f"{file}: can't be written ({reason}); give another name") from None
    note_changed(f"{file} is written")
