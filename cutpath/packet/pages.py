"""Pages of a packet that show what else the result holds: drawings, cut list, boards, files, cautions."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from cutpath.packet.html import Markup, figure, heading, joined, listed, name, number, paragraph, table, text
from cutpath.packet.source import Source, board_key, set_up_lists
from cutpath.work.small_words import left_out_lines

_DRAWINGS = {
    "stair": "The stair on its ground",
    "stringer": "The stringer on its board",
    "corners": "Inside corners, enlarged",
    "pitch-gauge": "The pitch gauge",
}


def drawings(source: Source, which: Sequence[str] = tuple(_DRAWINGS), lead: str = "") -> Markup:
    """The stair, the stringer, its inside corners.

    Args:
        source: what they are written from.
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
    ways = {"rotated": "turned end for end"}
    if any(parts.over is not None for parts in source.plan.design.parts):
        ways["turned_over"] = "turned over"
    angles = any(placed["angle"] % 180 for board in nest["boards"] for placed in board["parts"])
    if angles:
        ways["angle"] = "turned by, degrees"
    # On boards parts lie along an edge; on sheets it has to be said how far up.
    up = ("up from the lower edge",) if source.plan.job.on_sheets else ()
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
                    *(lengths.cell(placed["y"]) for _ in up),
                    lengths.cell(long),
                    *(f"{placed[way]:g}" if way == "angle" else "yes" if placed[way] else "no" for way in ways),
                )
            )
        if board["offcut"] > 0:
            rest = (lengths.cell(board["used"]), *("-" for _ in up), lengths.cell(board["offcut"]))
            rows.append((str(i), stock, "offcut", *rest, *("-" for _ in ways)))
    made = table(
        f"Cut list, lengths in {lengths.name}",
        (source.plan.job.stock_word, "stock", "item", "from the left end", *up, "length", *ways.values()),
        rows,
        wide=True,
        words=frozenset({0, 1, 2, 5 + len(up), 6 + len(up)}),
    )
    shared = shared_cuts(source.result)
    words = [paragraph(f"Cuts that two parts share are made once: {shared}.")] if shared else []
    missing = [paragraph(f"{line[0].upper()}{line[1:]}.") for line in left_out_lines(source.plan)]
    # With other pieces there is one list to buy, on the cover.
    bought = [] if source.plan.lumber else [_bought(source)]
    return joined([made, *words, *missing, *bought, paragraph(_measure(source))])


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
    return table(caption, ("stock", f"{word}s", "each", "together"), rows, wide=True)


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
    """Each board's layout with its file and the file's checksum."""
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
    """A file by its path and its checksum."""
    digest = source.hashes.get(path)
    parts = [Markup(f"File <code>{text(path)}</code>")]
    if digest is not None:
        parts.append(Markup(f", SHA-256 <code>{digest}</code>"))
    return joined(parts)


def file_list(source: Source, caption: str = "Files of this job") -> Markup:
    """Every file that goes with the packet, by its checksum."""
    rows = [
        (Markup(f"<code>{text(path)}</code>"), Markup(f"<code>{digest}</code>"))
        for path, digest in source.hashes.items()
    ]
    return joined(
        [
            paragraph(
                "SHA-256 is a checksum, a number worked out from all that is in a file: a file that was changed on its "
                "way has another one. To see that of a file that was handed on: sha256sum FILE, on macOS shasum -a 256 "
                "FILE, on Windows certutil -hashfile FILE SHA256."
            ),
            table(caption, ("file", "SHA-256"), rows, wide=True, words=frozenset({0, 1})),
        ]
    )


def cautions(source: Source) -> Markup:
    """The cautions, whole."""
    return listed(source.result["cautions"])
