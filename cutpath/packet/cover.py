"""A packet's first page: the job, and its checks at a glance."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec.structs import replace

from cutpath.cut.relief_kinds import RELIEF_KINDS
from cutpath.json_text import Json
from cutpath.packet.html import Markup, facts, heading, joined, listed, name, number, paragraph, table, text
from cutpath.packet.saw import to_buy_list
from cutpath.packet.source import Source
from cutpath.rules.told import over, over_lines
from cutpath.rules.values import Check
from cutpath.tolerances import SHOWN

DECIDES = "A check that holds is arithmetic on what was read and typed in. It approves nothing."


def cover(source: Source, boards: Markup | None = None) -> Markup:
    """The job, and its checks at a glance.

    Args:
        source: what it is written from.
        boards: which boards are cut; None: all of the result's nest.
    """
    result, show = source.result, source.lengths.show
    stair, stringer = result["stair"], result["stringer"]
    if boards is None:
        boards = joined([number(len(result["nest"]["boards"])), " to cut from"])
    pairs = [
        ("Risers", joined([number(stair["risers"]), " of ", show(stair["unit_rise"])])),
        ("Treads", joined([number(stair["treads"]), ", run ", show(stair["unit_run"]), " nosing to nosing"])),
        ("Total rise", show(stair["total_rise"])),
        ("Foot", joined([show(stair["foot"]["out"]), " out from the header face"])),
        ("Pitch", joined([number(stair["pitch_deg"], f"{stair['pitch_deg']:.2f}"), " degrees"])),
        ("Pad's reveal at the foot", show(stair["pad_reveal"], "landing exists")),
        *part_facts(source),
        (f"Length on the {source.plan.job.stock_word}", show(stringer["length"])),
        ("Throat, least", show(stringer["throat"], "no inside notch")),
        ("Inside corners", text(RELIEF_KINDS[source.plan.design.part.relief].words)),
        (f"{source.plan.job.stock_word.capitalize()}s", boards),
        ("Rules", text(result["rules"]["title"])),
    ]
    bought = [to_buy_list(source)] if "lumber" in result else []
    return joined([verdict(source), paragraph(DECIDES), facts(pairs), checks_table(source), *bought])


def part_facts(source: Source) -> list[tuple[str, str]]:
    """Each part's name and how many of it are wanted, the small ones last."""
    found = [
        (f"Part {i}", joined([name(part["name"]), ", ", number(part["count"]), " to cut"]))
        for i, part in enumerate(source.result["stringer"]["parts"], start=1)
    ]
    return found + _small_facts(source)


def _small_facts(source: Source) -> list[tuple[str, str]]:
    """Each small part's name, how many of it are wanted, and of these how many found no room."""
    found: list[tuple[str, str]] = []
    for i, part in enumerate(source.result.get("small_parts", []), start=1):
        missing = part["left_out"]
        without = joined([", ", number(missing), " left out: no room"]) if missing else ""
        found.append((f"Small part {i}", joined([name(part["name"]), ", ", number(part["count"]), " to cut", without])))
    return found


def verdict(source: Source) -> Markup:
    """Whether all required checks of a job hold, whatever is over before it, in a frame; below, what would mend it."""
    required = sum(check["required"] for check in source.result["checks"])
    checks = _with_throat_mends(source)
    advice = [check.id for check in over(checks) if not check.required]
    box = verdict_of(required, [check["id"] for check in source.failing], advice)
    lines = over_lines(checks, source.plan.job.units)
    return joined([box, listed(list(lines), kind="over")]) if lines else box


def _with_throat_mends(source: Source) -> tuple[Check, ...]:
    """A job's checks, a thin throat with the changes that would be enough, since no table of them stands here."""
    enough = "; ".join(mend["change"] for mend in source.result["mends"] if mend["enough"])
    return tuple(
        replace(check, mend=enough) if check.id == "throat" and enough else check for check in source.plan.design.checks
    )


def verdict_of(required: int, failing: Sequence[str], advice: Sequence[str]) -> Markup:
    """Whether all of some required checks hold, in a frame; those that fail, and advice that is over, are named.

    Args:
        required: how many there are.
        failing: those of them that fail.
        advice: checks that aren't required, and are over.
    """
    over_advice = f"Over advice: {', '.join(advice)}." if advice else ""
    if failing:
        words = f"{len(failing)} of {required} required checks FAIL: {', '.join(failing)}. Not for cutting."
        return paragraph(f"{words} {over_advice}".rstrip(), "verdict fails")
    return paragraph(f"{over_advice} All {required} required checks hold.".lstrip(), "verdict")


def checks_table(source: Source, whose: str = "") -> Markup:
    """Every check with its value, its limit and where that is from; `whose`, where a page holds several jobs'."""
    own = {check.id: check for check in source.plan.design.checks}
    notes: dict[str, int] = {}
    rows = []
    for check in source.result["checks"]:
        # The simulated cut's is none of the plan's own, and only holds or fails.
        planned = own.get(check["id"])
        limit = joined(
            [
                joined([word, "\N{NO-BREAK SPACE}", _quantity(source, check[word], check)])
                for word in ("least", "most")
                if check[word] is not None
            ],
            ", ",
        )
        mark = planned.outcome if planned else "holds" if check["ok"] else "FAILS"
        note = ""
        told = "; to mend it: ".join(part for part in (check["note"], planned.mend if planned else "") if part)
        if told:
            note = f" (note {notes.setdefault(told, len(notes) + 1)})"
        outcome = Markup(f"<strong>{mark}</strong>") if not check["ok"] else text(mark)
        kind = " (advice)" if not check["required"] and mark in ("holds", "over advice") else ""
        value = _quantity(source, check["value"], check)
        if planned is not None and (check["value"] or 0.0) < -SHOWN:
            value = joined([_quantity(source, -check["value"], check), f" {planned.under_zero}"])
        rows.append((check["id"] + kind, outcome, value, limit, check["source"] + note))
    return joined(
        [
            table(
                f"Checks{whose and f' of {whose}'}, lengths in {source.lengths.name}",
                ("check", "outcome", "value", "limit", "source of the limit"),
                rows,
                wide=True,
                words=frozenset({0, 1, 3, 4}),
            ),
            *([heading("Notes to the checks"), listed(list(notes), ordered=True, kind="notes")] if notes else []),
        ]
    )


def _quantity(source: Source, value: float | None, check: Json) -> Markup:
    if value is None:
        return text("-")
    if check["unit"] in ("in", "mm"):
        return source.lengths.cell(value)
    if check["unit"] == "share":
        return number(value, f"{value:.1%}")
    return joined([number(value), " degrees" if check["unit"] == "deg" else ""])
