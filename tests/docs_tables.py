"""Tables in docs/ that the program computes, as Markdown."""

from __future__ import annotations

import math
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from msgspec.structs import replace

from cutpath.cut.relief import CutPart, behind, relieved
from cutpath.cut.relief_kinds import RELIEF_KINDS, RELIEFS
from cutpath.design.stair import Stair
from cutpath.design.strength.materials import loads_of, wood
from cutpath.design.throat import throats
from cutpath.export.one import export_files
from cutpath.inspect.against.table import AGAINST, MOST_OFF, AgainstKind
from cutpath.inspect.find.ends import LEAST_TAB, MOST_TAB
from cutpath.inspect.find.table import KINDS, FindingKind
from cutpath.inspect.repair.values import Allowed
from cutpath.inspect.repair.whole import MOST_GAP
from cutpath.job.values import Loads, Wood
from cutpath.outline import Chain
from cutpath.plan.drawn import design
from cutpath.rules.measures import MEASURES
from cutpath.tolerances import CUT, JOINED, POLYLINE_GAP, TINY
from cutpath.units import show, sixteenths, to_unit
from cutpath.work.boards import board_drawing, board_program, label_places
from tests.bill import bill_table
from tests.docs_pictures import planned
from tests.test_check_values import CASES, RELIEVED, VALUES

IN = 25.4
SHOP_FILES = ("orchard-steps", "garden-room", "boat-landing")

#: What lies behind a notch, by the role of the vertex where the piece of outline starts.
_BEHIND = {"top": "plumb cut", "heel": "lower edge", "seat-back": "seat"}


def markdown(head: Sequence[str], rows: Sequence[Sequence[str]]) -> str:
    """A Markdown table."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join("| " + " | ".join(line) + " |" for line in lines)


def inches(mm: float) -> str:
    """Inches to four decimals, as `check` prints them."""
    return f"{to_unit(mm, 'in'):.4f}"


def losses(radius: float, pitch: float) -> dict[str, float]:
    """Wood that each relief takes from the throat behind a plain notch, by formula (see docs/geometry.md)."""
    return {
        "diagonal": radius * (1 - math.cos(math.pi / 4 - pitch)),
        "riser-side": radius * (1 - math.cos(pitch)),
        "tread-side": radius * (1 - math.sin(pitch)),
    }


def reliefs() -> str:
    """Each relief on the demo's stringer: its loss by formula, and the throat as measured."""
    drawn = planned("orchard-steps")
    stringer, radius = drawn.design.stringer, drawn.job.cutter.radius
    plain = stringer.width - stringer.notch_depth
    rows = []
    for relief in RELIEFS:
        lost = losses(radius, drawn.stair.pitch)[relief]
        measured = relieved(stringer, relief, radius).throat
        assert measured is not None
        rows.append((RELIEF_KINDS[relief].words, inches(lost), inches(plain - lost), inches(measured)))
    square = relieved(stringer, "none", radius).throat
    assert square is not None
    rows.append(("left square in the design", inches(0), inches(plain), inches(square)))
    return markdown(("corner", "loss by formula, in", "w - d - loss", "least throat measured"), rows)


def limiting(part: CutPart) -> tuple[int, str]:
    """Which notch has the least throat, by its tread's number from the top, and what lies nearest behind it."""
    least = min(part.notches, key=lambda n: round(n.throat, 6))
    corner = next(c for c in part.corners if c.tread == least.tread)
    line = behind(part.outline, part.roles)
    roles = ("top", *part.roles)
    pieces: list[tuple[float, str]] = []
    for role, (start, end, bulge) in zip(roles, line.segments(), strict=False):
        piece = Chain((start, end), (bulge, 0.0), False)
        pieces.append((throats([corner], [piece])[0].throat, _BEHIND.get(role, "sill notch")))
    return least.tread, min(pieces)[1]


def _variants(change: Callable[[Stair, float], Stair], values: Sequence[float]) -> Iterator[Sequence[str]]:
    drawn = planned("orchard-steps")
    for value in values:
        stair = change(drawn.stair, value * IN)
        changed = design(drawn.job, drawn.rules, stair, drawn.design.board_width, inches)
        part, depth = changed.part, changed.stringer.notch_depth
        assert part.throat is not None
        tread, what = limiting(part)
        yield (
            sixteenths(value * IN),
            inches(depth),
            inches(part.width - depth),
            inches(stair.unit_rise - stair.tread_thickness),
            part.relief.replace("-", " "),
            inches(part.throat),
            f"tread {tread}, {what}",
        )


def lower_rise() -> str:
    """The demo's stringer with other rises, all else held."""
    rows = _variants(lambda s, r: replace(s, unit_rise=r), (7.75, 7.5, 7.25, 7, 6.75, 6.5, 6.25, 6, 5.75))
    return markdown(("rise", "d", "w - d", "r - c", "relief", "least throat", "at, towards"), list(rows))


def shorter_run() -> str:
    """The demo's stringer with other runs, all else held."""
    rows = _variants(lambda s, t: replace(s, unit_run=t), (12, 11.5, 11, 10.5, 10, 9.5, 9, 8.5))
    return markdown(("run", "d", "w - d", "r - c", "relief", "least throat", "at, towards"), list(rows))


def check_values() -> str:
    """The values that the tests hold the geometry against."""
    names = tuple(CASES)

    def row(name: str, values: Sequence[object]) -> tuple[str, ...]:
        return (name, *map(str, values))

    def fraction(value: float) -> str:
        return sixteenths(value * IN)

    cases = [CASES[n] for n in names]
    rows = [
        row("total rise, risers", [f"{fraction(c[0])}, {c[1]}" for c in cases]),
        row("run; tread thickness", [f"{fraction(c[2])}; {fraction(c[3])}" for c in cases]),
        row("riser board; nosing; overhang", ["; ".join(map(fraction, (c[4], c[5], c[6]))) for c in cases]),
        row("top gap", [fraction(c[7]) for c in cases]),
        row("sill notch", [" x ".join(map(fraction, c[8])) if c[8] else "none" for c in cases]),
        row("top tread", [c[9] for c in cases]),
    ]
    of = (
        "pitch, degrees",
        "step L",
        "notch depth d",
        "throat w - d",
        "heel",
        "seat",
        "board length",
        "foot out",
        "area",
    )
    rows += [row(word, [VALUES[n][i] for n in names]) for i, word in enumerate(of)]
    kinds = ("diagonal", "riser side", "tread side")
    rows += [row(f"throat, {word}", [RELIEVED[n][i] for n in names]) for i, word in enumerate(kinds)]
    return markdown(("", *names), rows)


def limit_keys() -> str:
    """Every limit that a rule set can state."""
    written = {"length": "length with its unit, in quotes", "angle": "degrees", "count": "number"}
    return markdown(
        ("limit", "of", "written as", "takes besides"),
        [
            (f"`{key}`", m.words, written[m.quantity], ", ".join(f"`{extra}`" for extra in m.extras))
            for key, m in MEASURES.items()
        ],
    )


def shop_files() -> str:
    """What the exported files of the three jobs hold, read by ezdxf."""
    import ezdxf

    rows = []
    with tempfile.TemporaryDirectory() as folder:
        for name in SHOP_FILES:
            files = export_files(planned(name), {}, (), with_cuts=True).files
            for path, data in files.items():
                if not path.endswith(".dxf"):
                    continue
                copy = Path(folder) / "copy.dxf"
                copy.write_bytes(data)
                document = ezdxf.readfile(copy)  # type: ignore[attr-defined]
                rows.append(_file_row(name, path, document))
    return markdown(("job", "file", "DXF", "`$INSUNITS`", "contours to cut", "extents, x then y"), rows)


def _file_row(name: str, path: str, document: object) -> tuple[str, ...]:
    model = document.modelspace()  # type: ignore[attr-defined]
    header = document.header  # type: ignore[attr-defined]
    closed, opened = 0, 0
    for entity in model:
        if entity.dxftype() not in ("LWPOLYLINE", "POLYLINE") or entity.dxf.layer in ("MARK", "STOCK"):
            continue
        if entity.is_closed:
            closed += 1
        else:
            opened += 1
    low, high = header["$EXTMIN"], header["$EXTMAX"]
    spans = [f"{low[i]:.2f} to {high[i]:.2f}" for i in range(2)]
    cuts = " and ".join(f"{n} {word}" for n, word in ((closed, "closed"), (opened, "open")) if n)
    unit = header.get("$INSUNITS", "none")
    return (name, f"`{path}`", document.dxfversion, str(unit), cuts, ", ".join(spans))  # type: ignore[attr-defined]


def shop_notes() -> str:
    """The notes of the demo's first board, line by line."""
    drawn = planned("orchard-steps")
    done = board_program(drawn, 0, label_places(drawn))
    lines = board_drawing(drawn, 0, done, lambda mm: show(mm, drawn.job.units)).notes
    return "\n".join(["| NOTE |", "| --- |", *(f"| {note.text} |" for note in lines)])


def strength_spans() -> str:
    """Greatest level spans in bending of a strip 5 in deep and of a solid 2x12, beside the published ones."""
    published = {"Southern Pine": ("7 ft 0 in", "16 ft 6 in")}
    rows = []
    for species, treated in (
        ("Southern Pine", False),
        ("Douglas Fir-Larch", False),
        ("Douglas Fir-Larch", True),
        ("Hem-Fir", True),
        ("Spruce-Pine-Fir", True),
    ):
        material = wood(Wood(species, "No. 2", wet=True, treated=treated), "normal", 11.25 * IN, 3, 18 * IN)
        loads = loads_of(Loads(), "in")
        spans = []
        for depth in (5 * IN, 11.25 * IN):
            moment = material.bending * 1.5 * IN * depth**2 / 6
            live, dead = loads.live * 18 * IN, loads.dead * 18 * IN
            # w L2 / 8, and P L / 4 with the dead load's w L2 / 8.
            spread = math.sqrt(8 * moment / (live + dead))
            point = (-loads.point / 4 + math.sqrt(loads.point**2 / 16 + dead * moment / 2)) / (dead / 4)
            spans += [spread, point]
        cut, solid = published.get(species, ("6 ft 0 in", "13 ft 3 in"))
        told = [f"{s / IN / 12:.1f} ft" for s in spans]
        rows.append((species + (", incised" if treated else ""), told[0], told[1], cut, told[2], told[3], solid))
    head = ("No. 2, wet", "cut, 50 psf", "cut, 300 lb", "published", "solid, 50 psf", "solid, 300 lb", "published")
    return markdown(head, rows)


def findings() -> str:
    """What `inspect` looks for."""
    return markdown(("finding", "status 1", "what it is", "way out"), [_finding_row(k) for k in KINDS])


def differences() -> str:
    """What `inspect --against` looks for."""
    return markdown(("finding", "status 1", "what it is", "way out"), [_finding_row(k) for k in AGAINST.values()])


def inspect_limits() -> str:
    """What inspecting goes by, millimetres."""
    rows = (
        ("ends of two entities are one within", f"{JOINED:g} mm"),
        ("ends of one polyline are one within", f"{POLYLINE_GAP:.4f} mm"),
        ("a segment is tiny under", f"{TINY:g} mm"),
        ("gaps in line that may be tabs", f"{LEAST_TAB:g} to {MOST_TAB:g} mm"),
        ("a deviation from the job is told over", f"{CUT:g} mm"),
        ("... and spoils the cut over (common practice, no source)", f"{MOST_OFF:g} mm"),
        ("`repair` closes gaps up to `--gap`, at the most", f"{Allowed().gap:g} mm, {MOST_GAP:g} mm"),
        ("`repair` keeps arcs to a spline within `--tolerance`", f"{Allowed().tolerance:g} mm"),
    )
    return markdown(("what", "limit"), rows)


def _finding_row(kind: FindingKind | AgainstKind) -> tuple[str, ...]:
    return (f"`{kind.id}`", "yes" if kind.severity == "spoils" else "", kind.about, kind.way_out.replace("|", "\\|"))


TABLES: dict[str, Callable[[], str]] = {
    "findings": findings,
    "inspect-limits": inspect_limits,
    "differences": differences,
    "strength-spans": strength_spans,
    "reliefs": reliefs,
    "lower-rise": lower_rise,
    "shorter-run": shorter_run,
    "check-values": check_values,
    "limit-keys": limit_keys,
    "shop-files": shop_files,
    "shop-notes": shop_notes,
    "bill": bill_table,
}
