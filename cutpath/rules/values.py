"""What a rule set says, as frozen values: limits with their sources, and checks against them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Quantity = Literal["length", "angle", "count", "share"]
"""What a limit measures: "length" in millimetres, "angle" in degrees, "count" a bare number, "share" of the allowed."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One limit of a rule set.

    Attributes:
        key: what it limits, one of `LIMIT_KEYS`.
        quantity: what its numbers are.
        least: least value allowed, or None.
        most: greatest value allowed, or None.
        run_under: the limit holds only where the unit run is less than this (millimetres); None: always.
        source: the clause.
        basis: "looked up", "second hand" or "memory": how well the source was seen.
    """

    key: str
    quantity: Quantity
    least: float | None
    most: float | None
    run_under: float | None
    source: str
    basis: str

    @property
    def caveat(self) -> str:
        """What to say beside a check that rests on this limit; empty where it was looked up."""
        return "" if self.basis == "looked up" else f"limit from {self.basis}, not looked up: see the code itself"


LIMIT_KEYS: dict[str, tuple[Quantity, str]] = {
    "rise": ("length", "unit rise"),
    "run": ("length", "unit run, nosing to nosing"),
    "comfort": ("length", "twice the rise and the run together, 2r + t"),
    "pitch": ("angle", "pitch in degrees"),
    "risers": ("count", "risers in one flight"),
    "flight-rise": ("length", "height of one flight"),
    "rise-spread": ("length", "greatest less least rise as built"),
    "run-spread": ("length", "greatest less least going as built"),
    "clear-width": ("length", "clear width of the stair"),
    "nosing": ("length", "tread beyond the face below it"),
    "open-gap": ("length", "opening between treads of a stair without riser boards"),
    "landing-depth": ("length", "depth of the landing at the foot"),
}
"""Every limit a rule set can state: what its numbers are, and what it limits."""


@dataclass(frozen=True, slots=True)
class RuleSet:
    """A named set of limits. `name` is what the job calls it, `title` what people read."""

    name: str
    title: str
    limits: tuple[Limit, ...]

    def limit(self, key: str, unit_run: float | None = None) -> Limit | None:
        """The limit in force for a key, or None where the set states none.

        Args:
            key: one of `LIMIT_KEYS`.
            unit_run: the stair's run in millimetres, for limits that hold only under a certain run.
        """
        for limit in self.limits:
            if limit.key == key and (limit.run_under is None or (unit_run is not None and unit_run < limit.run_under)):
                return limit
        return None


@dataclass(frozen=True, slots=True)
class Check:
    """One check of a job.

    Attributes:
        id: its short name.
        ok: whether it holds.
        required: whether `export` refuses to write cut files when it does not.
        quantity: what `value` and the limits are.
        value: what was found, or None where there is nothing to measure.
        least: least value allowed, or None.
        most: greatest value allowed, or None.
        source: where the limit comes from.
        note: one line for people.
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
