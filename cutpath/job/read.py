"""Reading a job file: the text, the table of keys, the checks between keys, all faults at once."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from cutpath.faults import JobFaults
from cutpath.job.between import check
from cutpath.job.build import build
from cutpath.job.compound import Record, fill
from cutpath.job.keys import JOB
from cutpath.job.kinds import MOST_FAULTS, Context, dotted
from cutpath.job.values import Job

if TYPE_CHECKING:
    from cutpath.units import Unit

#: A job file is a page of text; more than this is another file.
MOST_BYTES: Final = 1 << 20

#: Dotted keys take tomllib a time that grows with the square of their parts; forty are none of a job's.
_ENDLESS_KEY: Final = r"""(?<![\w-])(?:(?:[\w-]++|"[^"\n]*+"|'[^'\n]*+')[ \t]*+\.[ \t]*+){40}"""


@dataclass(frozen=True, slots=True)
class ReadJob:
    """A job as read.

    Attributes:
        job: the frozen values, lengths in millimetres.
        values: the whole job as a job file could hold it, as JSON-able data, every default filled in, lengths
            as numbers in the job's unit; what is absent is None.
        own_stock: whether the file states the boards, and not the default.
    """

    job: Job
    values: dict[str, Any]
    own_stock: bool = field(default=True, compare=False)


def read_job(path: Path) -> ReadJob:
    """Read a job file.

    Args:
        path: where it is.

    Returns:
        The job, and its values as plain data.

    Raises:
        JobFaults: with every fault found, each naming its key, what was given and what is accepted.
    """
    return job_of(parsed(text_of(path, "job"), str(path), "job"), path)


def job_of(raw: dict[str, Any], path: Path) -> ReadJob:
    """A job from the data of a TOML text.

    Args:
        raw: tables, arrays and values as tomllib gives them.
        path: where the text comes from: the name in messages, and what a path to a rule set is seen from.

    Raises:
        JobFaults: as `read_job`.
    """
    ctx = context_of(raw)
    values = JOB.read(raw, "", ctx)
    fill(JOB, values, ctx.unit)
    if isinstance(values["job"], dict):
        values["job"].setdefault("name", _name_of(path))
    check(values, ctx)
    if ctx.faults or ctx.unknown:
        raise JobFaults(str(path), told(ctx, JOB))
    return ReadJob(build(values, path.parent), JOB.plain(values, ctx.unit), "stock" in raw)


def context_of(raw: dict[str, Any]) -> Context:
    """A reading in the unit that a file states."""
    unit: Unit = "mm" if str(raw.get("units", "in")).lower().startswith("m") else "in"
    return Context(unit, judge=raw.get("units", "in") == unit)


def told(ctx: Context, root: Record) -> tuple[str, ...]:
    """The faults as messages, unknown keys first: they are often why others are missing."""
    from cutpath.job.near import unknown_key

    unknown = [
        f"{dotted(table, name)}: {unknown_key(root, table, name, known)}"
        for table, name, known in ctx.unknown[:MOST_FAULTS]
    ]
    more = ctx.untold + len(ctx.unknown) - len(unknown)
    return (*unknown, *ctx.faults, *([f"and {more} more faults"] if more else []))


def _name_of(path: Path) -> str:
    """A job's name from its file's, with what no name may hold replaced."""
    name = "".join(c if c.isprintable() or c == "\u200d" else "_" for c in path.stem)[:200]
    return name if name.strip() else "job"


def text_of(path: Path, what: str) -> str:
    """The text of a job file, or of another kind of file as `what` names it."""
    hint = "; `cutpath init` writes a job to start from" if what == "job" else ""
    try:
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise JobFaults(str(path), (f"no such file{hint}",)) from None
    except IsADirectoryError:
        raise JobFaults(str(path), (f"is a folder: name the {what} file in it",)) from None
    except OSError as why:
        reason = (why.strerror or "the system gave no reason").lower()
        raise JobFaults(str(path), (f"can't be read: {reason}",)) from None
    except ValueError:
        raise JobFaults(ascii(str(path)), ("is no file's name",)) from None
    if len(data) > MOST_BYTES:
        raise JobFaults(str(path), (f"is over 1 MiB, which no {what} file is",))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as why:
        line = data.count(b"\n", 0, why.start) + 1
        raise JobFaults(str(path), (f"is not UTF-8 text (line {line}): save it as UTF-8",)) from None


def parsed(text: str, source: str, what: str) -> dict[str, Any]:
    """The tables of a TOML text."""
    deep = f"is nested too deeply: a {what} file holds tables of plain values"
    if text.count(".") >= 40 and re.search(_ENDLESS_KEY, text):
        raise JobFaults(source, (deep,))
    try:
        return tomllib.loads(text)
    except RecursionError:
        raise JobFaults(source, (deep,)) from None
    except tomllib.TOMLDecodeError as why:
        lines = text.rstrip().split("\n")
        end = f"(at line {len(lines)}, column {len(lines[-1]) + 1}, where the file ends)"
        raise JobFaults(source, (f"is no TOML: {str(why).replace('(at end of document)', end)}",)) from None
    except ValueError as why:
        # Numbers of thousands of digits, and dates that no calendar has.
        raise JobFaults(source, (f"is no TOML: {str(why).split(';')[0]}",)) from None
