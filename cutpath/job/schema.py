"""The JSON Schema of the job file, for editors that complete and check keys."""

from __future__ import annotations

from cutpath.job.keys import JOB
from cutpath.job.kinds import Schema


def schema() -> Schema:
    """The schema, draft 2020-12.

    It knows every key, type and bound of a bare number. What it can't say is left to the reader: lengths in a
    text, and how most keys go together.
    """
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        "$id": "urn:cutpath:job-file:1",
        "title": "cutpath job file",
        **JOB.schema(),
        # Bare numbers mean the job's unit, so their bounds depend on it.
        "if": {"properties": {"units": {"const": "mm"}}, "required": ["units"]},
        "then": JOB.limits("mm"),
        "else": JOB.limits("in"),
    }
