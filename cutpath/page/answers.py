"""What the page is answered: the very functions that the commands call, their answers as JSON-able data.

Each takes what was asked, with the job's text in `text`, the path of the job file, which is read by none of them, and
whom to tell how far it is.
"""

from __future__ import annotations

import base64
import io
import signal
import threading
import zipfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any, Final

from cutpath.faults import Fault, JobFaults, NoNest, WrongCut
from cutpath.job.read import job_from_text
from cutpath.page.edit import changed_all, kind_at, path_of, typed_in
from cutpath.page.typed import CantChange
from cutpath.page.workers import Answer
from cutpath.progress import Tell, quiet

if TYPE_CHECKING:
    from cutpath.job.values import Job
    from cutpath.plan.values import Plan

#: How long until being told to stop is tried again while modules are loaded.
_LOADING_SECONDS: Final = 0.05

Query = dict[str, Any]


def told(fault: Fault) -> list[dict[str, str]]:
    """A fault's lines, each with its key, "" for none; a line that begins with a key is of that."""
    if isinstance(fault, JobFaults):
        return [{"key": each.key, "text": each.text} for each in fault.faults]
    return [_told(fault.key, line) for line in fault.lines]


def _told(key: str, line: str) -> dict[str, str]:
    lead, _, text = line.partition(": ")
    with suppress(CantChange):
        kind_at(path_of(lead))
        return {"key": lead, "text": text}
    return {"key": key, "text": line}


def read(asked: Query, path: Path, tell: Tell = quiet) -> Answer:
    """What the text holds, as typed and as understood, and its faults; changed first, where changes are asked for."""
    text = _changed(asked)
    try:
        typed = typed_in(text)
    except JobFaults as fault:
        return {"text": text, "typed": None, "understood": {}, "faults": told(fault)}
    try:
        found = job_from_text(text, path)
    except JobFaults as fault:
        return {"text": text, "typed": typed, "understood": {}, "faults": told(fault)}
    from cutpath.page.understood import understood

    return {"text": text, "typed": typed, "understood": understood(found), "faults": []}


def stair(asked: Query, path: Path, tell: Tell = quiet) -> Answer:
    """The stair on its ground and the checks, before any board is laid."""
    from cutpath.plan.stages import plan_unlaid

    return _checked(plan_unlaid(job_from_text(_changed(asked), path).job), laid=False)


def _changed(asked: Query) -> str:
    """The text, with the changes made that are asked for."""
    return changed_all(asked["text"], asked["changes"]) if asked.get("changes") else str(asked["text"])


def more(asked: Query, path: Path, tell: Tell = quiet) -> Answer:
    """The other drawings, and what would mend the checks that fail, before any board is laid.

    Raises:
        Fault: the text is no job, or no stair fits it.
    """
    from cutpath.page.mended import mended
    from cutpath.plan.stages import plan_unlaid

    found = plan_unlaid(job_from_text(asked["text"], path).job)
    return {"pictures": _drawings(found), "mends": mended(found, asked["text"], path)}


def counts(asked: Query, path: Path, tell: Tell = quiet) -> Answer:
    """Every riser count that was tried, and why it does or doesn't do."""
    from cutpath.plan.solved import solved
    from cutpath.report.solve import PLACES_HEAD, SOLVE_HEAD, solve_rows

    found = solved(job_from_text(asked["text"], path).job)
    sizes, places = solve_rows(found)
    return {
        "head": [SOLVE_HEAD[1], "outcome", *PLACES_HEAD[2:], *SOLVE_HEAD[2:-1]],
        "rows": [
            {
                "risers": tried.candidate.risers,
                "chosen": bool(size[0]),
                "fits": tried.candidate.fits and not tried.failing,
                "cells": [size[1], size[-1], *place[2:], *size[2:-1]],
            }
            for tried, size, place in zip(found.rows, sizes, places, strict=True)
        ],
        "reason": found.choice.reason if found.choice else "",
        "faults": told(found.none_fits) if found.none_fits else [],
        "held": found.job.stair.risers,
    }


def boards(asked: Query, path: Path, tell: Tell = quiet) -> Answer:
    """What goes on which board and what to buy, with the stair as the boards make it.

    Where the boards in stock don't do, what is missing.

    Raises:
        Fault: the text is no job, or no stair fits it; or the nest was stopped before there was any layout.
    """
    from cutpath.export.drawn import board_pictures
    from cutpath.page.mended import mended
    from cutpath.plan.laid import verify
    from cutpath.plan.stages import plan
    from cutpath.report.nest import board_rows, bought_rows, nest_total, stopped_text
    from cutpath.work.small_words import left_out_lines
    from cutpath.work.whole import work_of

    job = job_from_text(asked["text"], path).job
    try:
        with stoppable():
            found = plan(job, tell=tell)
    except NoNest as fault:
        return {"missing": told(fault)}
    except KeyboardInterrupt:
        raise Fault("stopped before there was any layout; change anything to lay the boards again") from None
    verify(found)
    share = ["share a cut"] if job.machine.common_cuts else []
    return {
        "missing": [],
        "checked": _checked(found, laid=True),
        "more": {"pictures": _drawings(found), "mends": mended(found, asked["text"], path)},
        "board_head": [job.stock_word, "stock", "parts", "at", *share, "offcut"],
        "boards": _whole(board_rows(found)),
        "buy_head": ["count" if found.lumber else f"{job.stock_word}s", "to buy or take", "each", "together"],
        "buy": [list(row) for row in bought_rows(found)],
        "total": nest_total(found),
        "stopped": stopped_text(found),
        "left_out": left_out_lines(found),
        "lists": _lists(found),
        "pictures": _named(board_pictures(found, work_of(found, tell))),
    }


def _lists(found: Plan) -> list[Answer]:
    """The list to cut, the lumber, and what they come to: tables and lines; none where there are only stringers."""
    if found.lumber is None:
        return []
    from cutpath.plan.to_buy import to_buy
    from cutpath.report.lumber import CUT_HEAD, LUMBER_HEAD, cut_rows, lumber_rows, section_lines, sum_lines

    bill = sum_lines(to_buy(found), found.job.units)
    return [
        {"head": ["no.", *CUT_HEAD[1:]], "rows": [list(row) for row in cut_rows(found, found.lumber)], "lines": []},
        {
            "head": ["no.", *LUMBER_HEAD[1:]],
            "rows": [list(row) for row in lumber_rows(found, found.lumber)],
            "lines": [*section_lines(found, found.lumber), *bill],
        },
    ]


@contextmanager
def stoppable() -> Iterator[None]:
    """Have being told to stop end what is done inside, as Ctrl-C ends it in a terminal, and nothing else.

    A module that is half loaded would be so for every later answer: loading goes on to its end first.
    """
    late: list[threading.Timer] = []

    def told_to(number: int, frame: FrameType | None) -> None:
        while frame is not None:
            if frame.f_code.co_filename.startswith("<frozen importlib"):
                late.append(threading.Timer(_LOADING_SECONDS, signal.raise_signal, [number]))
                late[-1].start()
                return
            frame = frame.f_back
        raise KeyboardInterrupt

    before = signal.signal(signal.SIGINT, told_to)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
        for each in late:
            each.cancel()


def export(asked: Query, path: Path, tell: Tell = quiet) -> Answer:
    """All files of the job: put in a folder beside it, or packed in one file to keep.

    Args:
        asked: `to` is "folder" or "zip"; `despite_checks` writes cut files though a required check fails.
        path: the job file; the folder has its name without the ending.
        tell: is told how far it is.
    """
    from cutpath.export.one import export_files
    from cutpath.place.place import place
    from cutpath.plan.gather import failing
    from cutpath.plan.mends import mends_of
    from cutpath.plan.stages import plan
    from cutpath.report.export import export_text

    alone = job_from_text(asked["text"], path)
    found = plan(alone.job, tell=tell)
    mends = mends_of(found)
    despite = asked.get("despite_checks") is True
    try:
        made = export_files(found, alone.values, mends, with_cuts=found.design.holds or despite, tell=tell)
    except WrongCut as fault:
        return {"said": f"nothing was written: {fault}", "written": False}
    out = folder_of(path)
    answer: Answer = {
        "written": True,
        "holds": found.design.holds,
        "folder": str(out),
        "files": list(made.files),
        "said": export_text(found, mends, out, tuple(made.files)) if asked["to"] == "folder" else "",
    }
    if made.cut is None:
        answer["refused"] = f"no cut file was written: {failing(found.design.failing)}"
    if asked["to"] == "folder":
        answer["changed"] = place(out, made.files, force=False)
    else:
        answer["name"] = f"{out.name}.zip"
        answer["zip"] = base64.b64encode(_zip(out.name, made.files)).decode()
    return answer


def packet(asked: Query, path: Path, tell: Tell = quiet) -> Answer:
    """The packet of the job as it is typed, for a tab to show; like the files, not where a required check fails."""
    from cutpath.export.one import export_files
    from cutpath.packet.page import PACKET_FILE
    from cutpath.plan.gather import failing
    from cutpath.plan.mends import mends_of
    from cutpath.plan.stages import plan

    alone = job_from_text(asked["text"], path)
    found = plan(alone.job, tell=tell)
    if not found.design.holds and asked.get("despite_checks") is not True:
        raise Fault(
            f"no packet is made: {failing(found.design.failing)}",
            way_out="mend it, or tick that cut files are written all the same",
        )
    made = export_files(found, alone.values, mends_of(found), with_cuts=True, tell=tell)
    return {"html": made.files[PACKET_FILE].decode()}


def folder_of(path: Path) -> Path:
    """The folder beside a job file that its export goes to."""
    return path.with_suffix("") if path.suffix else path.with_name(f"{path.name}-export")


def _zip(top: str, files: dict[str, bytes]) -> bytes:
    """Files in one, the same bytes for the same files: without the time of day."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as into:
        for name, data in files.items():
            entry = zipfile.ZipInfo(f"{top}/{name}")
            entry.external_attr = 0o644 << 16
            into.writestr(entry, data, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _whole(rows: list[tuple[str, ...]]) -> list[list[str]]:
    """Rows of which some go on with the one above, which has what comes first, each as one."""
    whole: list[list[str]] = []
    for row in rows:
        if row[0] or not whole:
            whole.append(list(row))
        else:
            whole[-1] = [f"{above} {more}".strip() for above, more in zip(whole[-1], row, strict=True)]
    return whole


def _checked(plan: Plan, *, laid: bool) -> Answer:
    from cutpath.cautions import CAUTIONS
    from cutpath.design.questions import landing_questions, questions
    from cutpath.page.grips import grips
    from cutpath.pictures import stair_svg
    from cutpath.report.check import check_rows
    from cutpath.units import show, shown_in

    job: Job = plan.job
    written = shown_in(job.units)
    notes = [(check.note, check.mend) for check in plan.design.checks]
    throat = plan.design.part.throat
    return {
        "laid": laid,
        "facts": [
            ["risers", f"{plan.stair.risers} of {show(plan.stair.unit_rise, job.units)}"],
            ["treads", f"{plan.stair.treads}, run {show(plan.stair.unit_run, job.units)}"],
            ["total rise", show(plan.stair.total_rise, job.units)],
            ["foot out", show(plan.stair.foot_out, job.units)],
            *([["least throat", show(throat, job.units)]] if throat is not None else []),
            ["stringer's length", show(plan.design.stringer.length, job.units)],
            ["board's width", show(plan.design.board_width, job.units)],
        ],
        "holds": plan.design.holds,
        "failing": list(plan.design.failing),
        "rules": plan.rules.title,
        "checks": [
            {"id": row[0], "outcome": row[1], "value": row[2], "limit": row[3], "source": row[4], "note": n, "mend": m}
            for row, (n, m) in zip(check_rows(plan.design.checks, job), notes, strict=True)
        ],
        "questions": [
            {"key": asked.key, "text": asked.text}
            for asked in (*questions(job, written), *landing_questions(job, plan.rules, plan.choice, written))
        ],
        "picture": {"name": "stair", "svg": stair_svg(plan)},
        "grips": grips(plan),
        "cautions": list(CAUTIONS),
    }


def _drawings(plan: Plan) -> list[Answer]:
    """The job's other drawings."""
    from cutpath.export.drawn import job_pictures

    return [each for each in _named(job_pictures(plan, "pictures")) if each["name"] != "stair"]


def _named(pictures: dict[str, bytes]) -> list[Answer]:
    return [{"name": Path(path).stem, "svg": svg.decode()} for path, svg in pictures.items()]


ANSWERS: Final[dict[str, Callable[[Query, Path, Tell], Answer]]] = {
    "read": read,
    "stair": stair,
    "more": more,
    "counts": counts,
    "boards": boards,
    "export": export,
    "packet": packet,
}
