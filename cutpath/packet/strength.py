"""A packet's page on what the stringers carry."""

from __future__ import annotations

from cutpath.json_text import Json
from cutpath.packet.html import Markup, figure, heading, joined, listed, paragraph, table, text
from cutpath.packet.source import Source
from cutpath.plan.strength_words import whose
from cutpath.tables.connections import NOT_HERE, connections_result, left_round
from cutpath.tables.strength import lifted


def strength_page(source: Source) -> Markup:
    """Shares of what is allowed, the drawing, sections down the stringer, and what was taken for granted."""
    found = source.result["strength"]
    if found["method"] is None:
        told = paragraph(f"Strength is {found['not_judged']}. A licensed professional can judge it.")
        return joined([told, _connections(source)])
    svg = source.svg(f"{source.pictures}/strength.svg")
    return joined(
        [
            paragraph(f"By {found['method']}: {found['material']}, {found['source']}. {'; '.join(found['factors'])}."),
            *([figure("strength", text(whose(source.plan.job)), svg)] if svg is not None else []),
            _rows(source, found),
            _bearings(source, found),
            *([paragraph(f"A stringer {up}.")] if (up := lifted(source.plan)) else []),
            _connections(source),
            heading("Taken for granted, and not looked at"),
            listed([text(line) for line in found["assumptions"]]),
            _sections(source, found),
        ]
    )


def _rows(source: Source, found: Json) -> Markup:
    rows = [
        (
            text(row["id"]),
            text("within" if row["share"] <= 1.0 else "OVER"),
            text(f"{row['share']:.0%}"),
            source.lengths.cell(row["at"]),
            text(row["note"]),
            text(row["source"]),
        )
        for row in found["rows"]
    ]
    head = ("what", "verdict", "share of what is allowed", "where, out from the header", "note", "source")
    return table(f"Shares, lengths in {source.lengths.name}", head, rows, wide=True, words=frozenset({0, 1, 4, 5}))


def _bearings(source: Source, found: Json) -> Markup:
    unit = found["unit"]["force"]
    rows = [
        (
            text(bearing["what"]),
            source.lengths.cell(bearing["at"]),
            source.lengths.cell(bearing["length"], "by the hanger"),
            text(f"{bearing['reaction']:.{0 if unit == 'lb' else 2}f}"),
        )
        for bearing in found["bearings"]
    ]
    head = ("bearing", "out from the header", "length", f"greatest reaction, {unit}")
    return table(f"What bears on what, lengths in {source.lengths.name}", head, rows, wide=True, words=frozenset({0}))


def _connections(source: Source) -> Markup:
    strength = source.result["strength"]
    digits = 0 if source.plan.job.units == "in" else 2
    rows = [
        (
            text(joint["what"]),
            source.lengths.cell(joint["bears"]),
            source.lengths.cell(joint["breadth"]),
            text(f"{joint['area']:.{2 - digits}f}"),
            text("not judged" if joint["reaction"] is None else f"{joint['reaction']:.{digits}f}"),
            joined(
                [
                    "least: " if joint["what"].startswith("holes ") else "",
                    joined([_edge(source, edge) for edge in joint["edges"]], "; "),
                ]
            ),
        )
        for joint in connections_result(source.plan, together=True)
    ]
    square = "square inches" if source.plan.job.units == "in" else "mm2"
    force = f", {strength['unit']['force']}" if strength["method"] is not None else ""
    head = (
        "held at",
        "bears",
        "breadth",
        f"area, {square}",
        f"greatest reaction{force}",
        f"{left_round(source.plan)} round it",
    )
    held = table(f"Where it is held, lengths in {source.lengths.name}", head, rows, wide=True, words=frozenset({0, 5}))
    return joined([held, paragraph(NOT_HERE)])


def _edge(source: Source, edge: Json) -> Markup:
    return joined([edge["from"], " ", source.lengths.cell(edge["distance"])])


def _sections(source: Source, found: Json) -> Markup:
    unit = found["unit"]
    digits = 0 if unit["force"] == "lb" else 2
    rows = [
        (
            source.lengths.cell(s["at"]),
            source.lengths.cell(s["depth"]),
            text(f"{s['moment']:.{digits}f}"),
            text(f"{s['shear']:.{digits}f}"),
            text(f"{s['bending_stress']:.{digits}f}"),
            text(f"{s['shear_stress']:.{digits}f}"),
            text(f"{s['share']:.0%}"),
        )
        for s in found["sections"]
    ]
    stress = unit["stress"]
    head = (
        "out from the header",
        "depth of wood",
        f"moment, {unit['moment']}",
        f"shear, {unit['force']}",
        f"bending, {stress}",
        f"shear, {stress}",
        "share",
    )
    return table(f"Sections down the stringer, lengths in {source.lengths.name}", head, rows, wide=True)
