"""The command line's `repair`: a file mended into a new one, every change printed."""

from __future__ import annotations

from pathlib import Path

from msgspec import Struct

from cutpath.cli.inspect import length_of, no_such_layers, put_file, refuse_to_replace
from cutpath.cli.output import put
from cutpath.cli.steps import CHECK_FAILS, DONE, print_json
from cutpath.faults import Fault
from cutpath.units import Unit


class RepairAsked(Struct, frozen=True):
    """What `repair` was asked for besides its files, by the options' names."""

    units: Unit | None
    gap: str
    tolerance: str
    cut_layers: tuple[str, ...]
    force: bool
    as_json: bool


def repair(source: Path, target: Path, asked: RepairAsked) -> int:
    """Mend a file into a new one.

    Args:
        source: a DXF, that stays as it is.
        target: the new file.
        asked: the options.

    Returns:
        The exit status: 1 where something is left that spoils a cut.

    Raises:
        Fault: the file can't be read or written, or an option can't be used.
    """
    from cutpath.inspect.read import read
    from cutpath.inspect.repair.values import Allowed
    from cutpath.inspect.repair.whole import MOST_GAP
    from cutpath.inspect.repair.whole import repair as repaired
    from cutpath.inspect.whole import inspect_seen

    refuse_to_replace(target, force=asked.force)
    gap, tolerance = length_of("--gap", asked.gap, "mm"), length_of("--tolerance", asked.tolerance, "mm")
    if gap > MOST_GAP:
        raise Fault(f"--gap: {asked.gap} is more than {MOST_GAP:g} mm, and what belongs in so wide a gap is a guess")
    if not 0.005 <= tolerance <= 1:
        raise Fault("--tolerance: must be from 0.005 to 1 mm")
    if asked.cut_layers:
        no_such_layers(read(source), asked.cut_layers)
    found = repaired(source, Allowed(asked.units, gap, tolerance, asked.cut_layers))
    if found.data is not None:
        put_file(target, found.data, force=asked.force)
    left = inspect_seen(read(target if found.data is not None else source), cut_layers=asked.cut_layers)
    if asked.as_json:
        from cutpath.tables.inspected import repaired_data

        print_json(repaired_data(found, left, str(target)))
    else:
        from cutpath.report.inspect import repaired_text

        put(repaired_text(found, left, str(target)))
    return CHECK_FAILS if left.spoils else DONE
