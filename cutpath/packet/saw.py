"""The page for whoever stands at the saw: the stair's other pieces, and what to buy in all."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from cutpath.json_text import Json
from cutpath.packet.html import Markup, figure, heading, joined, listed, name, number, paragraph, table, text
from cutpath.packet.source import Source
from cutpath.units import to_nearest, to_unit

if TYPE_CHECKING:
    from cutpath.plan.lumber_values import Lumber

_ANGLES = (
    "An angle is the cut's from a square one: a mitre is seen on the face, the saw swung; a bevel on the edge, the "
    "blade tilted; of a square section either way will do."
)


def saw_page(source: Source) -> Markup:
    """The list to cut, the biggest first, and a strip for each length of lumber."""
    lumber = source.plan.lumber
    assert lumber is not None
    pieces = source.result["pieces"]
    figures = []
    for path in sorted(source.files, key=lambda path: (len(path), path)):
        svg = source.svg(path) if path.startswith("pictures/lumber-") else None
        if svg is not None:
            figures.append(
                figure(path.removeprefix("pictures/").removesuffix(".svg"), "Lumber, cut from the left", svg)
            )
    return joined(
        [
            cut_table(source, lumber, pieces),
            heading("What is cut from which length"),
            paragraph(_strips(source, lumber)),
            *figures,
            heading("How near the least"),
            listed([_section(source, each) for each in source.result["lumber"]["sections"]]),
        ]
    )


def own_pieces(source: Source) -> Markup:
    """One job's pieces where several jobs share lumber: for its site, which gets them cut."""
    lumber = source.plan.lumber
    assert lumber is not None
    said = "Cut together with the pieces of other jobs; the numbers are those of the shop's list."
    return joined([paragraph(said), cut_table(source, lumber, source.result["pieces"])])


def cut_table(source: Source, lumber: Lumber, pieces: Sequence[Json]) -> Markup:
    """The list to cut with its notes, lengths as the saw's stop is set."""
    from cutpath.plan.lumber_values import numbered

    unit, step = source.plan.job.units, source.plan.job.sawing.nearest
    several = len(lumber.stairs) > 1

    def size(value: float) -> Markup:
        return number(value, to_nearest(value * source.lengths.mm, unit, step))

    rows = []
    notes: dict[str, list[int]] = {}
    # As the list above them: to the saw's nearest, never beside decimals.
    said = {
        lumber.ranks[line.label]: [note.text(lambda mm: to_nearest(mm, unit, step)) for note in line.piece.notes]
        for line in lumber.lines
    }
    files = {
        (each["job"], each["name"]): each["file"] for each in (source.result.get("shop") or {}).get("shaped_pieces", ())
    }
    for piece in pieces:
        stock = [text(piece["stock"])]
        if piece["ripped"] is not None:
            stock += [text(", ripped to "), size(piece["ripped"])]
        whose = [name(piece["job"]), text(": ")] if several else []
        rows.append(
            (
                number(piece["number"]),
                number(piece["count"]),
                joined([*whose, piece["name"]]),
                joined(stock),
                size(piece["length"]),
                piece["ends_in_words"],
                numbered(piece["lumber"]),
                piece["where"],
            )
        )
        own = list(said[piece["number"]])
        if piece["shaped"]:
            file = files.get((piece["job"], piece["name"]))
            own.append("cut to length, then notched" + (f" by {file}" if file else ""))
        for note in own:
            notes.setdefault(note, []).append(piece["number"])
    told = [joined([_numbers(found), ": ", note]) for note, found in notes.items()]
    nearest = to_nearest(step, unit, step) if unit == "in" else f"{to_unit(step, unit):g}"
    words = (
        f"The biggest first. Lengths are from long point to long point, in {source.lengths.name} to the nearest "
        f"{nearest}; cut-list.csv has them exact. {_ANGLES} Fit one of each kind before you cut the others."
    )
    return joined(
        [
            paragraph(words),
            table(
                f"List to cut, lengths in {source.lengths.name}",
                ("no.", "pieces", "piece", "section", "length", "ends", "from", "goes to"),
                rows,
                wide=True,
                words=frozenset({0, 2, 3, 5, 6, 7}),
            ),
            listed(told, kind="notes") if told else text(""),
        ]
    )


def _numbers(found: Sequence[int]) -> Markup:
    return joined([number(each) for each in found], ", ")


def _strips(source: Source, lumber: Lumber) -> str:
    saw = lumber.saw
    takes = f"The saw takes out {_plain(source, saw.width)} at every cut"
    trim = f", and {_plain(source, saw.end_trim)} off each end first" if saw.end_trim else ""
    return (
        f"Cut each length from its left end, every piece measured from the cut before it. {takes}{trim}; where the "
        "ends of two pieces lean alike, one cut parts them. A piece's number is that of the list above. Slants are as "
        "long as they are along the lumber, whichever side they are cut on. Two that are ripped from one length of the "
        "same width are cut to length together, and then ripped, one off each edge; what else is ripped or notched off "
        "is used for no other."
    )


def _plain(source: Source, mm: float) -> str:
    unit = source.plan.job.units
    return f"{to_nearest(mm, unit, 25.4 / 64 if unit == 'in' else 0.1)} {unit}"


def _section(source: Source, section: Json) -> Markup:
    show = source.lengths.show

    def amount(value: float) -> Markup:
        return number(value, f"{value:.2f}") if section["measure"] == "money" else show(value)

    value, bound = section["value"], section["bound"]
    if value <= bound + 1e-9 * abs(value):
        proof = joined(["proved least"])
    else:
        proof = joined(["none costs less than ", amount(bound)]) if bound > 0 else text("not proved least")
    yard = "; yard lengths, as no [[lumber]] of it is stated" if section["yard_lengths"] else ""
    pieces, boards = number(section["pieces"]), number(section["boards"])
    held = joined([section["stock"], ": ", pieces, " pieces on ", boards, " lengths, ", amount(value)])
    return joined([held, " (", proof, ")", yard])


def to_buy_list(source: Source) -> Markup:
    """All boards and lumber to buy or take, their sum or what has no price, and what is needed besides."""
    lumber, lengths = source.result["lumber"], source.lengths

    def money(value: float | None) -> Markup:
        return text("-") if value is None else number(value, f"{value:.2f}")

    rows = [
        (
            joined([b["stock"], " × ", lengths.cell(b["length"]), f", {b['origin']}" if b.get("origin") else ""]),
            number(b["quantity"]),
            money(b["price"]),
            money(b["cost"]),
        )
        for b in lumber["to_buy"]
    ]
    caption = f"To buy or take, lengths in {lengths.name}"
    if lumber["total"] is None:
        said = text("No sum: a line without a price has none stated.")
    else:
        said = joined(["Boards and lumber together: ", money(lumber["total"]), "."])
    return joined(
        [
            table(caption, ("boards and lumber", "count", "each", "together"), rows, wide=True),
            paragraph(said),
            listed([f"Besides, in no sum: {words}." for words in lumber["besides"]]),
        ]
    )
