"""What an export changed in a stock file."""

from __future__ import annotations

from pathlib import Path

from cutpath.stockfile.update import BEFORE, Change
from cutpath.units import quoted


def updated_text(path: Path, out: Path, change: Change) -> str:
    """What bringing a stock file up to date did."""
    if change.same and not change.back:
        return f"{path}: left as it is: this export takes nothing off it"
    if change.same:
        return f"{path}: left as it is: the last export to {out} took these boards off it already ({change.taken})"
    back = f"put back {change.back} of the last export to {out}, " if change.back else ""
    many = "s" if len(change.added) > 1 else ""
    added = f"added offcut{many} {', '.join(map(quoted, change.added))}" if change.added else "no new offcut"
    return f"{path}: {back}took off {change.taken}, {added}; what it was is in {path.name}{BEFORE}"


def outdated_text(path: Path, out: Path) -> str:
    """That a stock file still says what an earlier export took."""
    return f"{path}: still says what the last export to {out} took; --update-stock puts that back and takes these"
