"""All files of one job as bytes, with its packet and `result.json`. Nothing is written here."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from cutpath.export.for_shop import Exported, for_shop, listed
from cutpath.export.outputs import Of, made
from cutpath.json_text import dumped
from cutpath.packet.page import packet_html
from cutpath.pattern.tiles import Paper
from cutpath.plan.mends import Mend
from cutpath.plan.values import Plan
from cutpath.progress import Tell, quiet
from cutpath.tables.result import result


def export_files(
    plan: Plan,
    values: Mapping[str, Any],
    mends: Sequence[Mend],
    *,
    with_cuts: bool,
    paper: Paper = "roll",
    tell: Tell = quiet,
) -> Exported:
    """Everything that `export` puts in its folder.

    Args:
        plan: the whole job.
        values: the job as read, with every default, for `result.json`.
        mends: what would mend a thin throat.
        with_cuts: whether cut files, cut list and drawings are written, or only `result.json`.
        paper: that the full-size pattern is laid out for.
        tell: is told how far the work is.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
        WrongCut: cut in simulation, a part comes out other than designed.
    """
    if not with_cuts:
        return Exported({"result.json": dumped(result(plan, values, mends, ())).encode()}, None)
    shop = for_shop(plan, {"pictures": plan}, tell)
    shop.files.update(made("job's site", Of(plan, paper=paper)))
    data = result(plan, values, mends, listed(shop.files), shop.verdict, shop.result)
    return shop.closed(data, packet_html(plan, data, shop.files))
