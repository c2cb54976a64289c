"""The packet's page for whoever runs the machine."""

from __future__ import annotations

from collections.abc import Sequence

from cutpath.cut.paths import waste_side
from cutpath.cut.program import ORDER
from cutpath.json_text import Json
from cutpath.packet.html import (
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
from cutpath.packet.pages import file_line, shared_cuts
from cutpath.packet.source import Source, board_key, set_up_lists
from cutpath.units import show as shown
from cutpath.units import written
from cutpath.work.file_paths import TRIAL_FILE
from cutpath.work.registration import fence_words
from cutpath.work.tab_words import fewer_tabs_lines
from cutpath.work.trial_piece import piece_of

_OPERATIONS = {
    "drill": "drilled holes",
    "mark": "marks",
    "pocket": "pockets",
    "inner": "inner contours",
    "outline": "outlines, which free the parts",
}
_BEFORE = (
    "Cut the trial piece first, from an offcut, and measure the sizes that are lettered on it.",
    "Measure the check dimension of every file after loading it. 25.4 times off: the unit was lost.",
    "Count the contours in the cut layer and look that none was closed, joined or broken by the import.",
    "See that the tool runs on the waste side all the way round.",
    "Keep clamps and stops clear of where cuts leave the board.",
    "Cut one {board}. Measure a stringer against its check dimension and have it hung before cutting the rest.",
)


def shop_page(source: Source) -> Markup:
    """Unit, check dimensions, layers, tool, order, set-ups."""
    return joined(
        [
            _tool(source),
            heading("Before cutting"),
            listed(_before(source), ordered=True),
            _check_dimensions(source),
            _layers(source),
            *_shaped(source),
            heading("Order of work"),
            paragraph(
                "What frees a part comes last: "
                + ", then ".join(_OPERATIONS[kind] for kind in ORDER)
                + ". Waste pieces come loose on the way and fly: stop between them, or hold them by tabs."
            ),
            _order(source),
            _set_ups(source),
            _simulated(source),
        ]
    )


def _before(source: Source) -> tuple[str, ...]:
    plan = source.plan
    more = _fences(source)
    if plan.design.small and not plan.job.tabs.count:
        more.append("Small parts come loose as they are cut through: hold them down, or have tabs put in.")
    return tuple(line.format(board=plan.job.stock_word) for line in (*_BEFORE[:-2], *more, *_BEFORE[-2:]))


def _fences(source: Source) -> list[str]:
    """Which edge of each board lies on the fence, boards of which the same holds together."""
    plan = source.plan
    found: dict[str, list[str]] = {}
    for i in range(len(plan.layout.boards)):
        found.setdefault(fence_words(plan, i, lambda mm: shown(mm, plan.job.units)), []).append(f"{i + 1}")
    word = plan.job.stock_word
    return [f"{word.capitalize()} {', '.join(numbers)}: {line[0].lower()}{line[1:]}" for line, numbers in found.items()]


def _tool(source: Source) -> Markup:
    job = source.plan.job
    cutter = job.cutter

    def show(mm: float) -> Markup:
        return source.lengths.show(written(mm, job.units))

    if cutter.path == "design":
        line = "Cut lines are the design line, the edge of the finished part."
        side = joined(["By half the tool's width, to the ", waste_side(cutter), " of travel."])
    else:
        line = "Cut lines are the tool's centre line, made for this width and no other."
        side = text("None: do not compensate.")
    counts = [(i, board["tabs"]) for i, board in enumerate(source.result["shop"]["boards"], 1)]
    word = source.plan.job.stock_word
    each = joined([joined([number(count), f" on {word} {i}"]) for i, count in counts], ", ")
    tabs = joined([each, ", ", show(job.tabs.width), " wide"])
    fewer = fewer_tabs_lines(source.plan)
    if fewer:
        tabs = joined([tabs, text(f"; {'; '.join(fewer)}")])
    climbs = f"{cutter.direction} cut; " if cutter.kind == "router" else ""
    pairs = [
        ("Unit of every file", source.lengths.name),
        ("DXF version", job.dxf_version.upper()),
        ("Tool", joined([cutter.kind, " ", show(cutter.width), " wide"])),
        ("Line", line),
        ("Compensation", side),
        ("Direction", f"{climbs}the waste lies on the {waste_side(cutter)} of travel"),
        ("Side", "Face up as drawn: pockets, housings and marks lie on this face."),
        ("Board's edges", _edges(source)),
        ("Tabs", tabs if job.tabs.any else text("none; leave some, or stop before a part comes free")),
    ]
    shared = shared_cuts(source.result)
    if shared:
        pairs.append(("Shared cuts", f"made once, one tool's width between two parts: {shared}"))
    return facts(pairs)


def _edges(source: Source) -> str:
    if source.plan.job.stringer.edges == "factory":
        small = "; small parts are cut all round" if source.plan.design.small else ""
        return f"kept; open contours run past the board's edge, so don't close them{small}"
    return "trimmed; parts are cut all round"


def _check_dimensions(source: Source) -> Markup:
    lengths, plan = source.lengths, source.plan
    rows: list[Sequence[str]] = []
    parts = iter(plan.design.every)
    boards = {board["file"]: board for board in source.result["nest"]["boards"]}
    shaped = {one["file"]: one for one in _shaped_pieces(source)}
    set_ups = {one["file"]: one for board in set_up_lists(source.result) for one in board["set_ups"]}
    for path in source.hashes:
        if not path.endswith(".dxf"):
            continue
        if path in shaped:
            own = shaped[path]
            what = joined([name(own["job"]), " ", own["name"], ": overall length"])
            value = lengths.cell(own["length"])
        elif path.startswith("parts/"):
            part = next(parts)
            x0, _, x1, _ = part.part.outline.extents()
            what = joined([name(part.name), ": overall length"])
            value = lengths.cell(written(x1 - x0, plan.job.units))
        elif path in boards:
            what, value = text(f"length of the {plan.job.stock_word}"), lengths.cell(boards[path]["length"])
        elif path in set_ups:
            what, value = text("the board on the bed, along"), _on_bed(source, set_ups[path])
        elif path == TRIAL_FILE:
            x0, _, x1, _ = piece_of(plan).outline.extents()
            what, value = text("the trial piece, along"), lengths.cell(written(x1 - x0, plan.job.units))
        else:
            what, value = text("named in its note"), text("")
        rows.append((Markup(f"<code>{text(path)}</code>"), what, value, ""))
    return table(
        f"One check dimension for each file, in {lengths.name}",
        ("file", "dimension", "should be", "measured"),
        rows,
        wide=True,
        words=frozenset({0, 1}),
    )


def _shaped_pieces(source: Source) -> list[Json]:
    found: list[Json] = source.result["shop"].get("shaped_pieces", [])
    return found


def _shaped(source: Source) -> list[Markup]:
    """The stair's other pieces that have a file of their own; nothing without any."""
    pieces, lengths = _shaped_pieces(source), source.lengths
    if not pieces:
        return []
    rows = [
        (
            joined([name(one["job"]), " ", one["name"]]),
            number(one["count"]),
            text(one["stock"]),
            lengths.cell(one["length"]),
            lengths.cell(one["width"]),
            Markup(f"<code>{text(one['file'])}</code>"),
            text("by this tool" if one["by_tool"] else "by hand: corners are square"),
        )
        for one in pieces
    ]
    made = table(
        f"Pieces of lumber with a shape, lengths in {lengths.name}",
        ("piece", "count", "from", "length", "width", "file", "cut"),
        rows,
        wide=True,
        words=frozenset({0, 2, 5, 6}),
    )
    layer = source.plan.job.layers.part
    return [
        heading("Pieces with a shape"),
        paragraph(
            f"They lie on no board here: each is cut to length and ripped first, then its notches, along layer {layer} "
            "of its file, which is the design line. Nothing is marked on their upper face, which is walked on."
        ),
        made,
    ]


def _on_bed(source: Source, one: Json) -> Markup:
    bed = source.plan.job.machine.bed
    assert bed is not None
    low, high = one["board"]
    return source.lengths.cell(min(high, written(bed[0], source.plan.job.units)) - max(low, 0.0))


def _layers(source: Source) -> Markup:
    job = source.plan.job
    layers, design = job.layers, job.cutter.path == "design"
    parts = [parts.part for parts in source.plan.design.every]
    line = "design line" if design else "centre line of the tool"
    rows = [
        (
            layers.part,
            "parts",
            "a part's design outline, never compensated",
            "not cut from together with a board's file",
        ),
        (layers.cut, "boards, trial piece", f"contours through the {job.stock_word}, {line}", "cut"),
    ]
    drilled = any(part.holes for part in parts) or any(one["index_holes"] for one in _every_set_up(source))
    rows.append((layers.drill, "all" if drilled else "trial piece", "circles", "drill"))
    if any(part.pockets for part in parts):
        depths = sorted({pocket.depth for part in parts for pocket in part.pockets})
        deep = " or ".join(shown(depth, job.units) for depth in depths)
        rows.append((layers.pocket, "parts, boards", "contours of pockets", f"clear inside, {deep} deep"))
    if job.cutter.lead and not design:
        rows.append((layers.lead, "boards", "ways in to closed contours and out of them", "follow with the contour"))
    if job.tabs.any and job.tabs.shown == "layer" and not design:
        rows.append((layers.tab, "boards", "stretches of cuts that hold the part", "leave uncut, or shallow"))
    rows += [
        (layers.mark, "all", "lettering and marks, single strokes", "mark shallow, or leave out"),
        (layers.stock, "boards, trial piece", f"the {job.stock_word}'s outline", "never cut"),
        (layers.note, "all", "text for people", "read"),
    ]
    return table(
        "Layers; one that holds nothing is not in a file",
        ("layer", "in", "holds", "what to do with it"),
        [(Markup(f"<code>{text(row[0])}</code>"), *row[1:]) for row in rows],
        wide=True,
        words=frozenset(range(4)),
    )


def _order(source: Source) -> Markup:
    shop, lengths = source.result["shop"], source.lengths
    kinds = [kind for kind, _ in shop["boards"][0]["operations"]] if shop["boards"] else []
    rows = []
    for board in shop["boards"]:
        counts = [number(count) for _, count in board["operations"]]
        file = Markup(f"<code>{text(board['file'])}</code>")
        rows.append((file, *counts, lengths.cell(board["travel"]), lengths.cell(board["travel_bound"])))
    heads = [_OPERATIONS[kind].split(",")[0] for kind in kinds]
    return table(
        f"Operations by board, in this order; travel between them in {lengths.name}",
        ("file", *heads, "travel", "no order needs less than"),
        rows,
        wide=True,
    )


def _every_set_up(source: Source) -> list[Json]:
    return [one for board in set_up_lists(source.result) for one in board["set_ups"]]


def _set_ups(source: Source) -> Markup:
    boards = set_up_lists(source.result)
    bed, units = source.plan.job.machine.bed, source.plan.job.units
    if not boards:
        if bed is None:
            return joined([heading("Set-ups"), paragraph("The job states no bed: see that each board fits yours.")])
        reach = source.lengths.show(written(bed[0], units))
        words = joined(["One for each board: all fit the stated bed, ", reach, " along."])
        return joined([heading("Set-ups"), paragraph(words)])
    parts = [heading("Set-ups of boards that are longer than the bed"), paragraph(_INDEXING)]
    for board in boards:
        parts.append(_set_up_table(source, board))
        parts += [
            paragraph(f"Set-up {k}: letter {unlettered} by hand before it is free; its label lies across set-ups.")
            for k, one in enumerate(board["set_ups"], start=1)
            for unlettered in one["letter_by_hand"]
        ]
        for k, one in enumerate(board["set_ups"], start=1):
            key = board_key(one["file"])
            svg = source.svg(f"pictures/{key}.svg")
            if svg is not None:
                title = f"{board['file']}: set-up {k} of {len(board['set_ups'])}"
                parts.append(figure(key, title, svg, file_line(source, one["file"])))
    return joined(parts)


_INDEXING = (
    "The edge that is said above lies on the fence. Slide the board to the left before each further set-up, and "
    "measure the slide before clamping. Coordinates are those of the bed."
)


def _set_up_table(source: Source, board: Json) -> Markup:
    lengths = source.lengths

    def points(found: Sequence[Sequence[float]]) -> Markup:
        return joined([joined([lengths.cell(x), " along, ", lengths.cell(y), " across"]) for x, y in found], "; ")

    rows = []
    for k, one in enumerate(board["set_ups"], start=1):
        holes = [
            *(["pins at ", points(one["pins"])] if one["pins"] else []),
            *(["; " if one["pins"] else "", "drilled at ", points(one["index_holes"])] if one["index_holes"] else []),
        ]
        rows.append(
            (
                str(k),
                Markup(f"<code>{text(one['file'])}</code>"),
                lengths.cell(one["slide"]),
                lengths.cell(one["stop"]),
                joined(holes) or "-",
                joined([lengths.cell(one["extents"][0]), " to ", lengths.cell(one["extents"][2])]),
                joined([name(part) for part in one["frees"]], ", ") or "-",
            )
        )
    return table(
        f"{board['file']}: set-ups by {board['indexing']}, lengths in {lengths.name}",
        ("set-up", "file", "slide", "right end at", "index holes", "reach used", "comes free"),
        rows,
        wide=True,
        words=frozenset({0, 1, 4, 6}),
    )


def _simulated(source: Source) -> Markup:
    lengths = source.lengths
    rows = [
        (
            joined([f"board {cut['board']}, part {cut['part']}: ", name(cut["name"])]),
            "as\N{NO-BREAK SPACE}designed" if cut["ok"] else Markup("<strong>NOT as designed</strong>"),
            lengths.cell(cut["gouge"]),
            lengths.cell(cut["leftover"]),
            number(cut["rounded_corners"]),
            lengths.cell(cut["throat_as_cut"]),
        )
        for cut in source.result["shop"]["simulated_cut"]
    ]
    return table(
        f"Every file read back and cut in simulation, lengths in {lengths.name}",
        ("part", "comes out", "cut too deep", "left standing", "corners left round", "least throat as cut"),
        rows,
        wide=True,
        words=frozenset({0, 1}),
    )
