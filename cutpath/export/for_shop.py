"""What the shop gets, whether of one job or of several on shared boards. Nothing is written here."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence

from msgspec import Struct

from cutpath.export.cut_files import cut_files
from cutpath.export.drawn import board_pictures, job_pictures
from cutpath.export.outputs import Of, made
from cutpath.faults import WrongCut
from cutpath.json_text import Json, dumped
from cutpath.packet.page import PACKET_FILE
from cutpath.plan.laid import verify
from cutpath.plan.values import Plan
from cutpath.progress import Tell
from cutpath.rules.values import Check
from cutpath.tables.result_nest import shop_result
from cutpath.units import show
from cutpath.work.cut_check import CutCheck, cut_verdict, wrong_cut
from cutpath.work.values import Work
from cutpath.work.whole import work_of


class Exported(Struct, frozen=True):
    """A job's files, and how its parts come out of the simulated cut.

    Attributes:
        files: bytes by path, `result.json` last.
        cut: the check that all parts come out as designed; None where no cut file was made.
        set_ups: the set-up lists as a table; empty where every board fits the machine's bed.
    """

    files: dict[str, bytes]
    cut: Check | None
    set_ups: str = ""


class ForShop(Struct, frozen=True):
    """What the shop gets of a plan, before the packet and `result.json` close it.

    Attributes:
        files: bytes by path; whoever closes the export adds its own.
        checks: how each part comes out of the simulated cut.
        verdict: the check that all do.
        result: what `result.json` tells the shop.
        set_ups: the set-up lists as a table; empty where every board fits the machine's bed.
    """

    files: dict[str, bytes]
    checks: Sequence[CutCheck]
    verdict: Check
    result: Json
    set_ups: str

    def closed(self, data: Json, packet: str) -> Exported:
        """The whole export: the packet comes to the files, and `result.json`, which lists it with them, last."""
        self.files[PACKET_FILE] = packet.encode()
        data["files"] = listed(self.files)
        self.files["result.json"] = dumped(data).encode()
        return Exported(self.files, self.verdict, self.set_ups)


def for_shop(whole: Plan, jobs: Mapping[str, Plan], tell: Tell) -> ForShop:
    """Cut files, drawings, cut list.

    Args:
        whole: with the layout of all parts.
        jobs: whose own drawings lie in which folder.
        tell: is told how far the work is.

    Raises:
        FileMismatch: a file, read back, does not hold what was meant.
        WrongCut: cut in simulation, a part comes out other than designed.
    """
    verify(whole)
    work = work_of(whole, tell)
    files, checks = cut_files(whole, work, tell)
    verdict = cut_verdict(checks)
    if not verdict.ok:
        raise WrongCut(wrong_cut(verdict, lambda mm: show(mm, whole.job.units)))
    plans = tuple(jobs.values())
    if any(plan.design.pieces is not None for plan in plans):
        from cutpath.export.shaped_files import shaped_files

        files |= shaped_files(plans)
    for folder, plan in jobs.items():
        files |= job_pictures(plan, folder)
    files |= board_pictures(whole, work)
    files |= made("shop", Of(whole, work))
    result, set_ups = _told(whole, plans, work, checks)
    return ForShop(files, checks, verdict, result, set_ups)


def listed(files: Mapping[str, bytes]) -> list[Json]:
    """Files by path and SHA-256, as `result.json` lists them."""
    return [{"path": path, "sha256": hashlib.sha256(data).hexdigest()} for path, data in files.items()]


def _told(plan: Plan, plans: Sequence[Plan], work: Work, checks: Sequence[CutCheck]) -> tuple[Json, str]:
    """What `result.json` tells the shop, and the set-up lists as a table, empty where every board fits the bed."""
    shop = shop_result(plan, work.boards, checks)
    if any(own.design.pieces is not None for own in plans):
        from cutpath.tables.shaped import shaped_result

        shop["shaped_pieces"] = shaped_result(plan, plans)
    if not any(p.set_ups for p in work.boards):
        return shop, ""
    from cutpath.tables.setups import setup_result, setup_text

    shop["set_ups"] = setup_result(plan, [p.set_ups for p in work.boards])
    return shop, setup_text(plan, [p.set_ups for p in work.boards])
