"""The packet's first sheets: the job and its checks at a glance, drawings, cut list, boards, files, cautions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from cutpath.cut.relief import RELIEF_WORDS
from cutpath.files.packet_html import (
    Lengths,
    Markup,
    facts,
    figure,
    heading,
    joined,
    listed,
    name,
    number,
    paragraph,
    table,
    text,
)
from cutpath.files.small_words import left_out_lines
from cutpath.planned import Plan

Json = dict[str, Any]

_DRAWINGS = {
    "stair": "The stair on its ground",
    "stringer": "The stringer on its board",
    "corners": "Inside corners, enlarged",
    "pitch-gauge": "The pitch gauge",
}
DECIDES = "A check that holds is arithmetic on what was read and typed in. It approves nothing."


@dataclass(frozen=True, slots=True)
class Source:
    """What the sheets are written from.

    Attributes:
        plan: what was computed, for words and names.
        result: what `result.json` holds, lengths in the job's unit: every figure comes from here.
        files: the bytes of the files it lists, by path.
        lengths: writes the result's lengths.
        pictures: the folder of the job's own drawings.
    """

    plan: Plan
    result: Json
    files: Mapping[str, bytes]
    lengths: Lengths
    pictures: str = "pictures"

    @property
    def hashes(self) -> dict[str, str]:
        """SHA-256 by path."""
        return {entry["path"]: entry["sha256"] for entry in self.result["files"]}

    def svg(self, path: str) -> str | None:
        """A drawing's text; None where it was not made."""
        data = self.files.get(path)
        return None if data is None else data.decode()

    @property
    def failing(self) -> list[Json]:
        """The required checks that do not hold."""
        return [check for check in self.result["checks"] if check["required"] and not check["ok"]]


def set_up_lists(result: Json) -> list[Json]:
    """The set-up lists of the boards that are longer than the bed; empty where all fit it."""
    found: list[Json] = (result["shop"] or {}).get("set_ups") or []
    return found


def board_key(file: str) -> str:
    """A board's name in links and data: `boards/01.dxf` is `board-01`."""
    return "board-" + file.removeprefix("boards/").removesuffix(".dxf")


def board_keys(result: Json) -> list[str]:
    """The keys of all boards, in their order."""
    return [board_key(board["file"]) for board in result["nest"]["boards"]]


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
        ("Inside corners", text(RELIEF_WORDS[source.plan.design.part.relief])),
        (f"{source.plan.job.stock_word.capitalize()}s", boards),
        ("Rules", text(result["rules"]["title"])),
    ]
    return joined([verdict(source), paragraph(DECIDES), facts(pairs), checks_table(source)])


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
    """Whether all required checks of a job hold, in a frame."""
    required = sum(check["required"] for check in source.result["checks"])
    return verdict_of(required, [check["id"] for check in source.failing])


def verdict_of(required: int, failing: Sequence[str]) -> Markup:
    """Whether all of some required checks hold, in a frame; those that fail are named."""
    if failing:
        words = f"{len(failing)} of {required} required checks FAIL: {', '.join(failing)}. Not for cutting."
        return paragraph(words, "verdict fails")
    return paragraph(f"All {required} required checks hold.", "verdict")


def checks_table(source: Source, whose: str = "") -> Markup:
    """Every check with its value, its limit and where that is from; `whose`, where a page holds several jobs'."""
    own = {check.id: check for check in source.plan.design.checks}
    notes: dict[str, int] = {}
    rows = []
    for check in source.result["checks"]:
        limits = check["limit"] if isinstance(check["limit"], list) else [check["limit"]]
        planned = own.get(check["id"])
        # The result gives one number for a limit from below or from above; the check itself knows which.
        from_below = planned is not None and planned.least is not None
        words = ["least", "most"] if len(limits) == 2 else ["least" if from_below else "most"]
        limit = joined(
            [
                joined([word, "\N{NO-BREAK SPACE}", _quantity(source, v, check)])
                for word, v in zip(words, limits, strict=True)
            ],
            ", ",
        )
        mark = "holds" if check["ok"] else "FAILS" if check["required"] else "over advice"
        note = ""
        if check["note"]:
            note = f" (note {notes.setdefault(check['note'], len(notes) + 1)})"
        outcome = Markup(f"<strong>{mark}</strong>") if not check["ok"] else text(mark)
        kind = "" if check["required"] else " (advice)"
        rows.append(
            (check["id"] + kind, outcome, _quantity(source, check["value"], check), limit, check["source"] + note)
        )
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
    return joined([number(value), " degrees" if check["unit"] == "deg" else ""])


def drawings(source: Source, which: Sequence[str] = tuple(_DRAWINGS), lead: str = "") -> Markup:
    """The stair, the stringer, its inside corners.

    Args:
        source: what they are taken from.
        which: of them.
        lead: put before their keys, and the job's name before their titles, where a page holds those of several jobs.
    """
    figures = []
    for key in which:
        svg = source.svg(f"{source.pictures}/{key}.svg")
        if svg is not None:
            title = _DRAWINGS[key]
            whose = joined([name(source.plan.job.name), f": {title[0].lower()}{title[1:]}"]) if lead else text(title)
            figures.append(figure(lead + key, whose, svg))
    return joined(figures)


def cut_list(source: Source) -> Markup:
    """Parts and offcuts board by board, and what to buy or take."""
    nest, lengths = source.result["nest"], source.lengths
    rows: list[tuple[str, ...]] = []
    ways = {"rotated": "turned half round"}
    if any(parts.over is not None for parts in source.plan.design.parts):
        ways["turned_over"] = "turned over"
    for i, board in enumerate(nest["boards"], start=1):
        stock = joined([board["stock"], " × ", lengths.cell(board["length"]), _of_offcut(board.get("from_offcut"))])
        for placed in board["parts"]:
            x0, _, x1, _ = source.plan.part(placed["name"]).outline.extents()
            long = _written(source, x1 - x0)
            rows.append(
                (
                    str(i),
                    stock,
                    name(placed["name"]),
                    lengths.cell(placed["x"]),
                    lengths.cell(long),
                    *("yes" if placed[way] else "no" for way in ways),
                )
            )
        if board["offcut"] > 0:
            rest = (lengths.cell(board["used"]), lengths.cell(board["offcut"]), *("-" for _ in ways))
            rows.append((str(i), stock, "offcut", *rest))
    made = table(
        f"Cut list, lengths in {lengths.name}",
        (source.plan.job.stock_word, "stock", "item", "from the left end", "length", *ways.values()),
        rows,
        wide=True,
        words=frozenset({0, 1, 2, 5, 6}),
    )
    shared = shared_cuts(source.result)
    words = [paragraph(f"Cuts that two parts share are made once: {shared}.")] if shared else []
    missing = [paragraph(f"{line[0].upper()}{line[1:]}.") for line in left_out_lines(source.plan)]
    return joined([made, *words, *missing, _bought(source), paragraph(_measure(source))])


def _of_offcut(label: str | None) -> Markup:
    """What is written on an offcut, for whoever takes it off the rack."""
    return joined([", offcut ", name(label)]) if label else text("")


def shared_cuts(result: Mapping[str, Any]) -> str:
    """Which parts share a cut, board by board; empty where none do."""
    found = []
    for i, board in enumerate(result["nest"]["boards"], start=1):
        pairs = [" and ".join(map(str, cut["parts"])) for cut in board.get("common_cuts", ())]
        if pairs:
            found.append(f"board {i}, parts {', '.join(pairs)}")
    return "; ".join(found)


def _written(source: Source, mm: float) -> float:
    from cutpath.units import written

    return written(mm, source.plan.job.units)


def _bought(source: Source) -> Markup:
    lengths, word = source.lengths, source.plan.job.stock_word

    def money(value: float | None) -> Markup:
        return text("-") if value is None else number(value, f"{value:.2f}")

    rows = [
        (
            joined([b["stock"], " × ", lengths.cell(b["length"]), f", {b['origin']}" if b.get("origin") else ""]),
            number(b["quantity"]),
            money(b["price"]),
            money(b["cost"]),
        )
        for b in source.result["nest"]["bought"]
    ]
    caption = f"{word.capitalize()}s to buy or take, lengths in {lengths.name}"
    return table(caption, ("stock", f"{word}s", "each", "together"), rows)


def _measure(source: Source) -> Markup:
    nest, lengths = source.result["nest"], source.lengths
    least = nest["value"] <= nest["bound"] * (1 + 1e-9)
    money, area = nest["measure"] == "money", nest["measure"] == "area"
    job = source.plan.job
    width = job.cutter.width if job.machine.common_cuts else None

    def amount(value: float) -> Markup:
        if area:
            return number(value, f"{value:.0f} square {source.result['units']}")
        return number(value, f"{value:.2f}") if money else lengths.show(value)

    proof = text("proved the least") if least else joined(["no plan can need less than ", amount(nest["bound"])])
    return joined(
        [
            "Cost " if money else "Sheet area in all " if area else "Board length in all ",
            amount(nest["value"]),
            ", ",
            proof,
            ". ",
            number(nest["yield"], f"{100 * nest['yield']:.1f} %"),
            f" of the {job.stock_word}s' area becomes parts. Parts lie at least ",
            lengths.show(nest["part_gap"]),
            " apart",
            *([", ", lengths.show(_written(source, width)), " where they share a cut"] if width else []),
            ".",
        ]
    )


def boards(source: Source) -> Markup:
    """Each board's layout with its file and the file's hash."""
    nest = source.result["nest"]["boards"]
    figures = []
    for i, board in enumerate(nest, start=1):
        key = board_key(board["file"])
        svg = source.svg(f"pictures/{key}.svg")
        which = f"{source.plan.job.stock_word.capitalize()} {i} of {len(nest)}: {board['stock']}"
        title = joined([which, _of_offcut(board.get("from_offcut"))])
        label = file_line(source, board["file"])
        if any(long["file"] == board["file"] for long in set_up_lists(source.result)):
            label = joined(
                [label, ". Longer than the bed: cut it by its set-ups, never from this file on that machine"]
            )
        if svg is None:
            figures.append(joined([heading(title), paragraph(label)]))
        else:
            figures.append(figure(key, title, svg, label))
        shared = source.svg(f"pictures/{key}-shared.svg")
        if shared is not None:
            figures.append(figure(f"{key}-shared", f"Board {i}: shared cuts, enlarged", shared))
    return joined(figures)


def file_line(source: Source, path: str) -> Markup:
    """A file by its path and its hash."""
    digest = source.hashes.get(path)
    parts = [Markup(f"File <code>{text(path)}</code>")]
    if digest is not None:
        parts.append(Markup(f", SHA-256 <code>{digest}</code>"))
    return joined(parts)


def file_list(source: Source, caption: str = "Files of this job") -> Markup:
    """Every file that goes with the packet, by its hash."""
    rows = [
        (Markup(f"<code>{text(path)}</code>"), Markup(f"<code>{digest}</code>"))
        for path, digest in source.hashes.items()
    ]
    return joined(
        [
            paragraph("Hash a file that was handed on; a file that was changed on its way has another hash."),
            table(caption, ("file", "SHA-256"), rows, wide=True, words=frozenset({0, 1})),
        ]
    )


def cautions(source: Source) -> Markup:
    """The cautions, whole."""
    return listed(source.result["cautions"])
