"""What a rule set says, as frozen values: limits with their sources, and checks against them."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from cutpath.tolerances import LIMIT_SLACK

Quantity = Literal["length", "angle", "count", "share"]
"""What a limit measures: "length" in millimetres, "angle" in degrees, "count" a bare number, "share" of the allowed."""

Basis = Literal["looked up", "second hand", "memory"]
"""How well a source was seen."""

Nature = Literal["limit", "duty", "open"]
"""What a check says: that a value keeps a limit or not; that something has to be provided or not; or nothing, since
what it asks about was not measured."""

Outcome = Literal["holds", "FAILS", "over advice", "needed", "not needed", "not judged"]
"""What a check comes to, as people read it: of a limit the first three, of a duty the next two."""


class Limit(Struct, frozen=True):
    """One limit of a rule set. `least` and `most` are in its quantity; all other lengths in millimetres.

    Attributes:
        key: what it limits, one of `measures.MEASURES`.
        quantity: what its numbers are.
        least: least value allowed, or None.
        most: greatest value allowed, or None.
        run_under: the limit holds only where the going is less than this (millimetres); None: always.
        source: the clause, as it is told beside every check.
        basis: how well the source was seen.
        above: of openings: only those more than this above the ground count; None: all.
        beside: of a guard: the ground counts up to this far from a tread's edge.
        height_least: least height, above the nosings, of a handrail or guard that has to be provided.
        height_most: its greatest height, likewise.
        opening: the sphere that may not pass through a guard.
        triangle: the sphere that may not pass through the triangle of riser, tread and bottom rail.
        sides: of a handrail: how many sides of the flight need one.
        section: of the code.
        edition: of the code.
        seen: where the number was read; empty where it was not looked up.
        required: whether a job that breaks it fails; if not, it is told.
    """

    key: str
    quantity: Quantity
    least: float | None
    most: float | None
    run_under: float | None
    source: str
    basis: str
    above: float | None = None
    beside: float | None = None
    height_least: float | None = None
    height_most: float | None = None
    opening: float | None = None
    triangle: float | None = None
    sides: float | None = None
    section: str = ""
    edition: str = ""
    seen: str = ""
    required: bool = True

    @property
    def caveat(self) -> str:
        """What to say beside a check that rests on this limit; empty where it was looked up."""
        return "" if self.basis == "looked up" else f"limit from {self.basis}, not looked up: see the code itself"


class RuleSet(Struct, frozen=True):
    """A named set of limits.

    Attributes:
        name: what the job calls it.
        title: what people read.
        limits: one a key.
        country: whose rules they are, as ISO 3166-1 has it; empty: not stated.
        based_on: the shipped set that it overlays; empty: none.
    """

    name: str
    title: str
    limits: tuple[Limit, ...]
    country: str = ""
    based_on: str = ""

    def limit(self, key: str, unit_run: float | None) -> Limit | None:
        """The limit in force for a key, or None where the set states none.

        Args:
            key: one of `measures.MEASURES`.
            unit_run: the stair's run, or its least going as built, in millimetres, for limits that hold only under a
                certain run; None, where there is no stair: those are left out.
        """
        for limit in self.limits:
            if limit.key == key and (limit.run_under is None or _under(unit_run, limit.run_under)):
                return limit
        return None


def _under(run: float | None, bound: float) -> bool:
    # A run of 11 in added up from its steps is a hair under 11 in only on paper.
    return run is not None and run < bound - LIMIT_SLACK


class Check(Struct, frozen=True):
    """One check of a job.

    Attributes:
        id: its short name.
        ok: whether it holds; of what could not be judged, False.
        required: whether `export` refuses to write cut files when it does not.
        quantity: what `value` and the limits are.
        value: what was found, or None where there is nothing to measure.
        least: least value allowed, or None.
        most: greatest value allowed, or None.
        source: where the limit comes from.
        note: one line for people.
        nature: what it says.
        mend: what would make it hold; empty where it holds, or where nothing in the job would.
        under_zero: what a value less than 0 is called, its sign left out.
    """

    id: str
    ok: bool
    required: bool
    quantity: Quantity
    value: float | None
    least: float | None
    most: float | None
    source: str
    note: str
    nature: Nature = "limit"
    mend: str = ""
    under_zero: str = "beyond 0"

    @property
    def outcome(self) -> Outcome:
        """What it comes to, in a word or two."""
        if self.nature == "open":
            return "not judged"
        if self.nature == "duty":
            return "not needed" if self.ok else "needed"
        return "holds" if self.ok else "FAILS" if self.required else "over advice"
