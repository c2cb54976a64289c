"""The packet's page for the site: set-out of ground and header, then the tape sheet."""

from __future__ import annotations

from cutpath.json_text import Json
from cutpath.packet.html import Lengths, Markup, facts, heading, joined, listed, number, paragraph, table, text
from cutpath.packet.source import Source
from cutpath.tables.site_data import setout_data, tape_data
from cutpath.tables.site_text import FITS, below
from cutpath.volume import VOLUME_NAMES

_WORDS = (
    "Out is level, from the header's face; down is plumb, from the finished floor. Drive a nail into the header's face "
    "at the floor's level: everything is measured from it, and the tape pulled taut from it."
)
_STALE = (
    "Where the site's readings differ from these, the job's readings are wrong. Change them there and have everything "
    "worked out again; the pad is no place to make up for it."
)


def site_page(source: Source) -> Markup:
    """Candidate feet, pad and concrete, header, posts, string line; marks along a stringer."""
    found, tape = setout_data(source.plan), tape_data(source.plan)
    lengths = source.lengths
    return joined(
        [
            paragraph(_WORDS),
            _feet(lengths, found),
            paragraph(_STALE),
            heading("Pad and concrete"),
            *_pad(lengths, found),
            heading("Header and seat"),
            _header(lengths, found),
            *_digs(lengths, found),
            *_supports(lengths, found),
            heading("Treads, posts and the string line"),
            _steps(lengths, found),
            *_line(lengths, found),
            _posts(lengths, found),
            *_gauge(source),
            heading("Tape sheet of one stringer", "own-page"),
            *_tape(source, lengths, tape),
        ]
    )


def _digs(lengths: Lengths, found: Json) -> list[Markup]:
    """Where the stringers lie in the ground."""
    return [
        paragraph(
            joined(
                [
                    "Dig the stringers in: the ground stands up to ",
                    lengths.show(dig["deepest"]),
                    " above their underside, plumb, ",
                    lengths.show(dig["at"]),
                    " out; from ",
                    lengths.show(dig["from"]),
                    " to ",
                    lengths.show(dig["to"]),
                    " out from the header face.",
                ]
            )
        )
        for dig in found["digs"]
    ]


def _supports(lengths: Lengths, found: Json) -> list[Markup]:
    """Where posts or beams under the stringers go, and what their tops meet."""
    if not found["supports"]:
        return []

    def above(one: Json) -> Markup:
        height = one["height"]
        if height is None:
            return text("no reading there")
        where = "the landing's level" if one["ground_is"] == "landing" else "ground"
        return joined([lengths.show(abs(height)), f" {'above' if height >= 0 else 'below'} {where}"])

    rows = [
        (
            number(one["number"]),
            lengths.cell(one["at"]),
            lengths.cell(one["length"]),
            *(lengths.cell(one["underside"][side]) for side in ("middle", "upper", "lower")),
            above(one),
        )
        for one in found["supports"]
    ]
    made = table(
        f"Supports under the stringers, in {lengths.name}",
        (
            "support",
            "middle, out",
            "along the flight",
            "underside, down",
            "upper side, down",
            "outer side, down",
            "underside is",
        ),
        rows,
        wide=True,
        words=frozenset({0, 6}),
    )
    return [
        made,
        paragraph(
            "Underside: of the stringers, over the support's middle and its two sides, below the floor. A top cut to "
            "the pitch falls from the upper to the outer side's figure; one cut level lies as far down as the outer "
            "side's and bears there alone. Where the underside lies below the ground, dig for it."
        ),
    ]


def _feet(lengths: Lengths, found: Json) -> Markup:
    rows = []
    for foot in found["feet"]:
        words = "chosen" if foot["chosen"] else "fits" if foot["fits"] else "does not fit"
        rows.append(
            (
                number(foot["risers"]),
                Markup(f"<strong>{words}</strong>") if foot["chosen"] else text(words),
                *(lengths.cell(foot[key]) for key in ("slope", "out", "down", "slope_ground", "ground")),
            )
        )
    head = ("risers", "choice", "tape to toe", "out", "down", "tape to ground", "ground down")
    # On a landing that exists the toe stands on the ground itself.
    shown = len(head) if found["pad"] is not None else 5
    made = table(
        f"Where the foot comes down, in {lengths.name}",
        head[:shown],
        [row[:shown] for row in rows],
        wide=True,
        words=frozenset({0, 1}),
    )
    return joined([made, paragraph(f"{FITS[0].upper()}{FITS[1:]}")])


def _pad(lengths: Lengths, found: Json) -> list[Markup]:
    pad = found["pad"]
    if pad is None:
        return [paragraph("The landing exists: there is no pad to set out.")]
    show = lengths.show

    def height(value: float | None) -> Markup:
        if value is None:
            return text("no reading there")
        return joined([show(abs(value)), " below ground" if value < 0 else " above ground"])

    pairs = [
        ("Along the stair", show(pad["depth"])),
        ("Across", show(pad["width"])),
        ("Thick", show(pad["thickness"])),
        ("Top", joined([show(pad["down"]), " below the floor, level"])),
        (
            "Landing",
            joined([show(pad["landing"]), " past the toe, ", show(pad["clear"]), " clear of the lowest riser"]),
        ),
        ("Concrete", _concrete(found)),
    ]
    rows = [
        (
            edge["name"],
            lengths.cell(edge["out"]),
            lengths.cell(edge["slope"]),
            height(edge["height"]),
            height(edge["underside"]),
        )
        for edge in pad["edges"]
    ]
    edges = table(
        f"The pad's corners, in {lengths.name}",
        ("corners", "out", "tape to top", "top", "underside"),
        rows,
        wide=True,
        words=frozenset({0}),
    )
    return [facts(pairs), edges, listed([*pad["notes"], found["note"]])]


def _concrete(found: Json) -> Markup:
    concrete, unit = found["pad"]["concrete"], VOLUME_NAMES[found["unit"]]
    volume = number(concrete["volume"], f"{concrete['volume']:.2f}")
    parts = [volume, f" {unit}, nothing added for waste"]
    if concrete["bag_yield"] is None:
        parts.append("; bags are not counted, as the job states no bag's yield")
    else:
        each = number(concrete["bag_yield"])
        parts += ["; ", number(concrete["bags"]), " bags of ", each, f" {unit} each (", concrete["bag_source"], ")"]
    return joined(parts)


def _header(lengths: Lengths, found: Json) -> Markup:
    show = lengths.show
    pairs = [
        ("Plumb cut", joined([show(found["top_gap"]), " out from the header face"])),
        ("Stringer's top", joined([show(abs(found["top_down"])), f" {below(found['top_down'])} the floor"])),
        ("Hanger", joined([show(found["hanger"]), " high, down to ", show(found["bottom_down"]), " below the floor"])),
        ("Seat line", joined([show(found["seat"][0]), " to ", show(found["seat"][1]), " out"])),
    ]
    middles = [piece for place in found["across"] for piece in (", ", show(place))][1:]
    whose = "stringers' middles" if len(found["across"]) > 1 else "stringer's middle"
    pairs.append(("Across the header", joined([*middles, f" from the stair's side to the {whose}"])))
    sill = found["sill"]
    if sill is not None:
        where = joined([show(sill["out"][0]), " to ", show(sill["out"][1]), " out, ", show(sill["high"]), " high"])
        pairs.append(("Sill plate", where))
    return facts(pairs)


def _steps(lengths: Lengths, found: Json) -> Markup:
    line = found["string_line"] is not None
    head = ["tread", "nosing, out", "nosing, down"]
    head += ["tip, out", "tip, down", "along the string"] if line else ["riser's back, out", "seat, down"]
    rows = []
    for step in found["steps"]:
        values = [*step["nosing"], *step["tip"], *([step["along_string"]] if line else [])]
        rows.append((number(step["tread"]), *(lengths.cell(v) for v in values)))
    return table(f"Treads from the top, in {lengths.name}", head, rows, wide=True)


def _line(lengths: Lengths, found: Json) -> list[Markup]:
    line, show = found["string_line"], lengths.show
    if line is None:
        return []
    down = line["header_down"]
    words = joined(
        [
            "String line: taut from ",
            show(abs(down)),
            f" {below(down)} the floor",
            " at the header's face, past ",
            show(line["toe_up"]),
            " above the pad at the toe, to the pad's level ",
            show(line["pad_out"]),
            " out; ",
            show(line["length"]),
            " along it. It touches every tooth tip. One that stands off it sits wrong, is bent or was cut wrong.",
        ]
    )
    return [paragraph(words)]


def _posts(lengths: Lengths, found: Json) -> Markup:
    pitch = found["pitch_deg"]
    words = joined(
        [
            "Pitch of rails ",
            number(pitch, f"{pitch:.2f}"),
            " degrees from level; the top of a plumb post is cut as far off square.",
        ]
    )
    rows = [tuple(lengths.cell(post[key]) for key in ("width", "rise", "cut")) for post in found["posts"]]
    made = table(
        f"Post tops, in {lengths.name}", ("post, wide", "nosing line rises across it", "sloped cut"), rows, wide=True
    )
    return joined([paragraph(words), made])


def _gauge(source: Source) -> list[Markup]:
    """What the pitch gauge is for, where there is one."""
    gauge = next((s for s in source.result.get("small_parts", []) if s["what"] == "pitch gauge"), None)
    if gauge is None:
        return []
    show = source.lengths.show
    words = [
        joined(
            [
                "Its legs are one rise, ",
                show(gauge["rise"]),
                ", and one run, ",
                show(gauge["run"]),
                "; its long side, ",
                show(gauge["length"]),
                ", is one step along the slope.",
            ]
        ),
        "Treads: lay the long side on two nosings, pair by pair. It reaches from one to the next, and a level on the "
        "run's leg reads level. Where it does not, one of the two treads is off.",
        "Posts: lay it on a straightedge over the nosings. The rise's leg is plumb along the stair; a level still has "
        "to show plumb across it.",
    ]
    if source.plan.job.stringer.toothed:
        words.append(
            "Notches: with the right angle in a notch both legs lie close, and their ends meet the tips beside it. The "
            "notches at the top and the foot differ, as the tape sheet shows."
        )
    return [heading("Pitch gauge"), listed(words)]


def _tape(source: Source, lengths: Lengths, tape: Json) -> list[Markup]:
    unit, toothed = tape["unit"], source.plan.job.stringer.toothed
    step = "1/16" if unit == "in" else f"{tape['step']:g}"
    places = 4 if unit == "in" else 2
    parts = source.plan.design.parts

    def reading(value: Json) -> tuple[Markup, Markup]:
        error = value["error"]
        words = f"{round(error, places) + 0.0:+.{places}f}"
        off = "0" if float(words) == 0 else words
        return number(value["tape"], value.get("mark", f"{value['tape']:g}")), number(error, off)

    rows = [
        (mark["name"], *reading(mark["along"]), *reading(mark["from_edge"]), *reading(mark["along_lower"]))
        for mark in tape["marks"]
    ]
    part = parts[0].part
    made = table(
        f"Marks in {lengths.name}, to the nearest {step}; off: what rounding adds",
        ("mark", "along", "off", f"in from {part.upper_edge}", "off", "from lower end", "off"),
        rows,
        wide=True,
    )
    words = [
        "Hook the tape once, at the part's upper end, and set off every mark from there, never from mark to mark.",
        joined(
            [
                "From each mark square in from the ",
                part.upper_edge,
                ". To check a cut stringer, hook at the lower end as well.",
            ]
        ),
        joined(
            [
                "Length ",
                lengths.show(tape["length"]["exact"]),
                ", width ",
                lengths.show(tape["width"]["exact"]),
                ", tip to tip " if toothed else ", nosing to nosing ",
                lengths.show(tape["step_length"]),
                "; the greatest rounding is ",
                lengths.show(tape["greatest_error"]),
                ".",
            ]
        ),
        "Corners are marked square; a relief starts from there. Stop the saw at the corner; finish it by hand."
        if toothed
        else "Treads are marked where the seat meets the riser's back."
        + (" The left one of a pair is this, mirrored." if any(p.part.mirrored for p in parts) else ""),
    ]
    return [listed(words), made]
