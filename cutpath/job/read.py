"""Reading a job: the table of keys, the checks between keys, all faults at once."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from msgspec import Struct

from cutpath.faults import Fault, JobFaults, KeyFault
from cutpath.job.between import check
from cutpath.job.build import build
from cutpath.job.compound import Record, fill
from cutpath.job.keys import JOB
from cutpath.job.kinds import MOST_FAULTS, Context, dotted
from cutpath.job.values import Job
from cutpath.tomlfile.read import given, parsed, text_of

if TYPE_CHECKING:
    from cutpath.units import Unit

#: What a job is called in messages that is read from no file.
UNNAMED: Final = Path("job")


class ReadJob(Struct, frozen=True, eq=False):
    """A job as read.

    Attributes:
        job: the frozen values, lengths in millimetres.
        values: the whole job as a job file could hold it, as JSON-able data, every default filled in, lengths
            as numbers in the job's unit; what is absent is None.
        own_stock: whether the file states the boards, and not the default.
    """

    job: Job
    values: dict[str, Any]
    own_stock: bool = True

    def __eq__(self, other: object) -> bool:
        """Whether job and values are the same; who stated the boards is no part of either."""
        return isinstance(other, ReadJob) and (self.job, self.values) == (other.job, other.values)

    def __ne__(self, other: object) -> bool:
        """Whether they are not the same; without this it would be whether it is another object."""
        return not self == other

    __hash__ = None  # type: ignore[assignment]


def read_job(path: Path) -> ReadJob:
    """Read a job file.

    Args:
        path: where it is.

    Returns:
        The job, and its values as plain data.

    Raises:
        JobFaults: with every fault found, each naming its key, what was given and what is accepted.
    """
    return job_from_text(text_of(path, "job"), path)


def read_jobs(paths: Sequence[Path]) -> tuple[list[tuple[str, ReadJob]], list[tuple[str, Fault]]]:
    """Read job files, as many as can be.

    Args:
        paths: where they are.

    Returns:
        The jobs that can be read, and the faults of the others, each with its file's name as the user gave it.
    """
    found: list[tuple[str, ReadJob]] = []
    faults: list[tuple[str, Fault]] = []
    for path in paths:
        try:
            found.append((str(path), read_job(path)))
        except Fault as fault:
            faults.append((str(path), fault))
    return found, faults


def job_from_text(text: str, path: Path = UNNAMED) -> ReadJob:
    """Read a job from the text of a job file.

    Args:
        text: TOML.
        path: the file it is the text of, or would be: its name in messages, the job's name where the text gives none,
            and what a path to a rule set is seen from. Nothing is read from there.

    Raises:
        JobFaults: as `read_job`.
    """
    return job_of(parsed(text.removeprefix("\ufeff"), str(path), "job"), path)


def job_of(values: Mapping[str, Any], path: Path = UNNAMED) -> ReadJob:
    """Read a job from plain data: tables, arrays, texts and numbers, such as tomllib and the json module give.

    What `ReadJob.values` holds, or `result.json` under `job`, gives the very same job again.

    Args:
        values: keys as in a job file; None means left out.
        path: as for `job_from_text`.

    Raises:
        JobFaults: as `read_job`.
    """
    if not isinstance(values, Mapping):
        tables = ", ".join(key.name for key in JOB.keys)
        raise JobFaults(str(path), f"{given(values)} is no job: give a table with {tables}")
    ctx = context_of(values)
    found = JOB.read(dict(values), "", ctx)
    fill(JOB, found, ctx.unit)
    if isinstance(found["job"], dict):
        found["job"].setdefault("name", _name_of(path))
    check(found, ctx)
    if ctx.faults or ctx.unknown:
        raise JobFaults(str(path), *told(ctx, JOB))
    return ReadJob(build(found, path.parent), JOB.plain(found, ctx.unit), values.get("stock") is not None)


def context_of(values: Mapping[str, Any]) -> Context:
    """A reading in the unit that a file states."""
    stated = values.get("units")
    unit: Unit = "mm" if str(stated).lower().startswith("m") else "in"
    return Context(unit, known=stated is None or stated == unit)


def told(ctx: Context, root: Record) -> tuple[KeyFault, ...]:
    """The faults, unknown keys first: they are often why others are missing."""
    from cutpath.job.near import unknown_key

    unknown = [
        KeyFault(dotted(table, name), unknown_key(root, table, name, known))
        for table, name, known in ctx.unknown[:MOST_FAULTS]
    ]
    more = ctx.untold + len(ctx.unknown) - len(unknown)
    return (*unknown, *ctx.faults, *([KeyFault("", f"and {more} more faults")] if more else []))


def _name_of(path: Path) -> str:
    """A job's name from its file's, with what no name may hold replaced."""
    name = "".join(c if c.isprintable() or c == "\u200d" else "_" for c in path.stem)[:200]
    return name if name.strip() else "job"
