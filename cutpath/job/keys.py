"""The one table of a job file's keys: what each takes, its bounds in millimetres, its default, what it means.

The reader, the frozen job, the JSON Schema, the reference in `docs/job-file.md` and the starter all come from it, so
it stands in one file, though a long one. Bounds are what a stair, a board or a machine can be at the very most (common
practice, no source): they catch a slipped digit and a wrong unit. What a stair may be is for the rule sets.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from msgspec.structs import replace

from cutpath.job.as_cut_keys import AS_CUT
from cutpath.job.compound import Absent, Derived, Elsewhere, Fixed, Key, ListOf, Pair, Record, Required
from cutpath.job.form_keys import FORM_KEYS, FORMS_TOGETHER, HOLES, count_of, throat_of
from cutpath.job.kinds import BAD, Length, Money, OneOf, Text, Whole, YesNo, YesOrCount
from cutpath.job.load_keys import LOADS, STEEL, SUPPORT, TOLERANCE, WOOD
from cutpath.job.piece_keys import LUMBER, RAIL, RISER_BOARDS, SAW, TREADS
from cutpath.job.special import BoardSize, LayerName, Reading, Volume
from cutpath.job.values import (
    Cutter,
    Extras,
    Layers,
    Machine,
    Pad,
    SillNotch,
    Site,
    StairSpec,
    StringerSpec,
    Tabs,
)
from cutpath.units import parse_length

if TYPE_CHECKING:
    from cutpath.units import Unit

#: Most tape readings, boards and the like in one job.
_MOST_ITEMS = 500

_CUTTER_WIDTH: Final[dict[str, dict[Unit, str]]] = {
    "router": {"in": "3/8", "mm": "10"},
    "beam": {"in": "1/64", "mm": "0.3"},
}


def _reveal(site: dict[str, Any], unit: Unit) -> Any:
    # An existing landing has no pad to raise above the ground.
    return {} if site.get("profile") is not None else None


def _overhang(stair: dict[str, Any], unit: Unit) -> Any:
    # A floor edge detailed like the treads, so that the first notch is as deep as the others.
    parts = (stair["nosing"], stair["riser_board"])
    return BAD if BAD in parts else sum(parts)


def _width(cutter: dict[str, Any], unit: Unit) -> Any:
    kind = cutter["kind"]
    return BAD if kind is BAD else parse_length(_CUTTER_WIDTH[kind][unit], unit)


def _site(*, pad_reveal: dict[str, float] | None, **rest: Any) -> Site:
    reveal = pad_reveal or {"least": 0.0, "most": 0.0}
    return Site(reveal_least=reveal["least"], reveal_most=reveal["most"], **rest)


def _stringer(**given: Any) -> StringerSpec:
    spec = StringerSpec(**given)
    return replace(spec, margin=0.0) if spec.toothed else spec


def _layers(**names: str) -> Layers:
    return Layers(**{key.lower(): name for key, name in names.items()})


_DOWN = Length(-3000, 15000)
_READING = Reading(
    Pair(("out", Length(0, 60000)), ("down", _DOWN)),
    Record(
        Key(
            "along",
            Length(0, 62000),
            Required(),
            "taut tape from the header face at floor level to the ground",
        ),
        Key("down", _DOWN, Required(), "drop from the finished floor to the ground there"),
    ),
)

SITE: Final = Record(
    Key(
        "profile",
        ListOf(_READING, 2, _MOST_ITEMS),
        Absent("total_rise is needed"),
        "tape readings of the ground, running outward: out from the header face and down from the finished "
        "floor, or where a level can't reach, along a taut tape from there at floor level, and down",
    ),
    Key(
        "total_rise",
        Length(100, 15000),
        Absent("profile is needed"),
        "in place of profile: from an existing level landing up to the finished floor",
    ),
    Key(
        "pad_reveal",
        Record(
            Key("least", Length(0, 600), Fixed(0, 0), "least height of the pad's top above the ground"),
            Key("most", Length(0, 600), Fixed(3, 75), "greatest such height"),
        ),
        Derived("both bounds at their defaults", _reveal),
        "with a profile: how far the pad's top stands above the ground at the foot of the stair",
    ),
    Key(
        "above",
        ListOf(
            Record(
                Key("out", Length(-20000, 60000), Required(), "level, out from the header face; negative: behind it"),
                Key("up", Length(-15000, 30000), Required(), "up from the finished floor; negative: below it"),
                into=lambda out, up: (out, up),
            ),
            0,
            _MOST_ITEMS,
        ),
        Fixed([], []),
        "points of the ceiling, or of whatever is overhead, running outward, straight between them; a step in it is "
        "two points with one out. Beyond the points it is open; without any, headroom is not judged",
    ),
    into=_site,
    together={
        "oneOf": [
            {"required": ["profile"]},
            {"required": ["total_rise"], "not": {"required": ["pad_reveal"]}},
        ]
    },
)

STAIR: Final = Record(
    Key(
        "rules",
        Text(400),
        Fixed("irc-2021", "irc-2021"),
        "rule set that ships with the package, or the path of your own (.toml) as seen from the job file",
    ),
    Key(
        "top_tread",
        OneOf("one-below", "at-floor"),
        Fixed("one-below", "one-below"),
        "top tread one rise below the finished floor, or level with it",
    ),
    Key("unit_run", Length(100, 1000), Fixed("10 1/2", 275), "going of every step, nosing to nosing, level"),
    Key(
        "unit_rise",
        Length(25, 400),
        Absent("solved"),
        "hold this rise, and let the pad move with the count of risers",
    ),
    Key("risers", Whole(2, 60), Absent("the solver picks"), "count of risers"),
    Key("clear_width", Length(300, 10000), Fixed(36, 915), "clear width of the stair"),
    Key("tread_thickness", Length(3, 150), Fixed("1 1/2", 38), "thickness of the tread boards"),
    Key("riser_board", Length(0, 100), Fixed(0, 0), "thickness of the riser boards; 0: open risers"),
    Key(
        "nosing",
        Length(0, 150),
        Fixed(1, 25),
        "tread beyond the face below it: the riser board, or the riser cut",
    ),
    Key(
        "floor_overhang",
        Length(0, 500),
        Derived("nosing + riser_board", _overhang),
        "finished floor beyond the header face",
    ),
    Key(
        "header_depth",
        Length(30, 3000),
        Absent("bearing not checked"),
        "from the finished floor down to the bottom of the framing that the plumb cut bears on",
    ),
    into=StairSpec,
)

STRINGER: Final = Record(
    Key(
        "form",
        OneOf("notched", "housed", "plate"),
        Fixed("notched", "notched"),
        "a board notched for the treads; a board with housings milled for them into one face; or a plate or panel "
        "that carries them on brackets",
    ),
    Key("count", Whole(1, 500), Derived("3 notched ones; 2 of any other form", count_of), "how many stringers"),
    Key(
        "throat_least",
        Length(0, 1000),
        Derived("5 in, or 127 mm; housed 1 in, or 25 mm; plate 2 in, or 50 mm", throat_of),
        "required remaining depth of wood behind every notch, or between every housing and the board's lower edge",
    ),
    Key(
        "edges",
        OneOf("factory", "trimmed"),
        Fixed("factory", "factory"),
        "the board's own edges are the part's and never cut, or the part is cut all round",
    ),
    Key(
        "edge_trim",
        Length(0, 150),
        Fixed(0, 0),
        'with edges = "trimmed": taken off each edge of a board; kept clear along the long sides of a '
        "sheet, at least machine.end_trim",
    ),
    Key(
        "width",
        Length(30, 1500),
        Absent("the board's own; needed with sheets"),
        "width of the stringer, tips to lower edge, where it is cut from sheets",
    ),
    Key(
        "sill_notch",
        Record(
            Key("deep", Length(5, 600), Required(), "level depth of the notch"),
            Key("high", Length(5, 300), Required(), "height of the notch"),
            into=SillNotch,
        ),
        Absent("no notch"),
        "notch at the foot for a sill plate, also called a kicker, on the pad",
    ),
    Key(
        "sill_depth_least",
        Length(0, 500),
        Fixed(3, 75),
        "required depth between the last tread seat and the sill notch",
    ),
    Key("top_gap", Length(0, 150), Fixed(0, 0), "clearance between plumb cut and header, for a hanger's plate"),
    Key(
        "turn_over",
        YesNo(),
        Fixed(False, False),
        "parts may lie on a board with either face up; on boards only, and not with housings",
    ),
    *FORM_KEYS,
    into=_stringer,
    together={
        "if": {
            "properties": {"edge_trim": {"type": "number", "exclusiveMinimum": 0}},
            "required": ["edge_trim"],
        },
        "then": {"properties": {"edges": {"const": "trimmed"}}, "required": ["edges"]},
        "allOf": FORMS_TOGETHER,
    },
)

PAD: Final = Record(
    Key(
        "depth",
        Length(100, 10000),
        Absent("the rule set's landing depth, clear of the lowest riser board, or 36 in where it states none"),
        "from the foot of the stair out to the pad's far edge; the pad reaches back under the seats besides. With an "
        "existing landing, how deep that is: without it, its depth is not judged",
    ),
    Key("width", Length(100, 15000), Absent("the stair's clear_width"), "width of the pad across the stair"),
    Key("thickness", Length(20, 600), Fixed(4, 100), "thickness of the pad's concrete"),
    Key(
        "bag_yield",
        Volume(0.5, 2000),
        Absent("bags are not counted"),
        "concrete that one bag makes, in cubic feet, or in litres in a job in millimetres; goes with bag_source",
    ),
    Key(
        "bag_source",
        Text(200),
        Absent("bag_yield must be left out too"),
        "where the bag's yield comes from, as its label; goes with bag_yield",
    ),
    into=Pad,
    together={"dependentRequired": {"bag_yield": ["bag_source"], "bag_source": ["bag_yield"]}},
)

#: For who has no machine: the drawings then show corners as a saw and a chisel make them.
_BY_HAND: Final = (
    'by hand write kind = "beam", width = the blade\'s cut and corner = "rounded", and go by pattern.pdf and the tape '
    "sheet; the cut files are for machines"
)

CUTTER: Final = Record(
    Key(
        "kind",
        OneOf(
            "router",
            "beam",
            same=dict.fromkeys(("laser", "plasma", "waterjet", "water jet", "water-jet"), "beam"),
            instead=dict.fromkeys(
                ("hand", "by hand", "saw", "hand saw", "handsaw", "circular saw", "jigsaw"), _BY_HAND
            ),
        ),
        Fixed("router", "router"),
        "a router, or a beam: laser, plasma or water jet, by whose name it may go too",
    ),
    Key(
        "width",
        Length(0.01, 60),
        Derived("router 3/8 in or 10 mm, beam 1/64 in or 0.3 mm", _width),
        "diameter of the router's tool, or the beam's kerf",
    ),
    Key(
        "corner",
        OneOf("relieved", "rounded"),
        Fixed("relieved", "relieved"),
        "inside corners opened so that square boards seat, or left at the tool's radius",
    ),
    Key(
        "path",
        OneOf("design", "centre", same={"center": "centre"}),
        Fixed("design", "design"),
        "files carry the design line, or the line that the tool's centre follows",
    ),
    Key("overrun", Length(0, 300), Fixed("1/2", 12), "how far an open cut runs past the board's edge"),
    Key(
        "relief",
        OneOf("most-throat", "diagonal", "riser-side", "tread-side"),
        Fixed("most-throat", "most-throat"),
        "where relieved corners are opened: wherever the most wood is left, or always on one side",
    ),
    Key(
        "outside",
        OneOf("sharp", "rolled"),
        Fixed("sharp", "sharp"),
        "corners of a centre line that stick out: kept sharp, or rolled round the design's corner",
    ),
    Key(
        "direction",
        OneOf("climb", "conventional"),
        Fixed("climb", "climb"),
        "climb runs clockwise round a part and the other way round holes, with a spindle that turns clockwise",
    ),
    Key(
        "lead",
        Length(0, 100),
        Fixed(0, 0),
        "with centre lines: how far beside a closed contour the tool starts, so that it does not mark the part",
    ),
    into=Cutter,
)

TABS: Final = Record(
    Key("count", Whole(0, 50), Fixed(0, 0), "how many tabs hold each part; 0: none"),
    Key("width", Length(0.5, 100), Fixed("1/2", 12), "width of each tab along the cut"),
    Key(
        "waste",
        OneOf("free", "tabbed"),
        Fixed("free", "free"),
        "the waste of each notch falls free, or is held by a tab of its own",
    ),
    Key(
        "shown",
        OneOf("gap", "layer"),
        Fixed("gap", "gap"),
        "with centre lines: the cut is left out at a tab, or stands on the layer TAB; with design lines tabs are marks",
    ),
    into=Tabs,
)

MACHINE: Final = Record(
    Key(
        "bed",
        Pair(("along", Length(300, 100000)), ("across", Length(50, 10000))),
        Absent("every part fits"),
        "reach of the machine; longer parts are cut in indexed set-ups",
    ),
    Key(
        "part_gap",
        Length(0, 1000),
        Fixed("1/2", 12),
        "least clear distance between parts; at least 1.25 cutter widths, or 1.5 with centre lines",
    ),
    Key("end_trim", Length(0, 1000), Fixed("1/4", 6), "kept clear at each end of a board"),
    Key(
        "indexing",
        OneOf("stop", "holes"),
        Fixed("stop", "stop"),
        "with a board longer than the bed: slid against an end stop, which suits any board and whose errors do not add "
        "up, or onto pins in holes that the machine drills in waste",
    ),
    Key("index_hole", Length(2, 40), Fixed("3/8", 10), 'diameter of the index holes, with indexing = "holes"'),
    Key("overlap", Length(1, 50), Fixed("1/4", 6), "how much of a cut two set-ups both make where they meet"),
    Key(
        "common_cuts",
        YesNo(),
        Fixed(False, False),
        "neighbours whose ends lie along each other may stand one cutter width apart and share a cut, made once; with "
        "centre lines, on boards that fit the bed, without tabs and leads",
    ),
    into=Machine,
)

EXTRAS: Final = Record(
    Key(
        "pitch_gauge",
        YesNo(),
        Fixed(False, False),
        "a block with a right angle between one unit rise and one unit run, for setting posts and checking treads",
    ),
    Key("trial_piece", YesNo(), Fixed(False, False), "the trial piece, besides the file of its own"),
    Key(
        "sill_plate",
        YesOrCount(20),
        Fixed(False, False),
        "the plate under the sill notch, also called a kicker, as long as the clear width, from a board as thick as "
        "the notch is high: whole, or in that many equal pieces",
    ),
    into=Extras,
)

_ALONG = Length(0, 20000)
BOARDS: Final = Record(
    Key(
        "size",
        BoardSize(Pair(("thickness", Length(5, 300)), ("width", Length(30, 3100)))),
        Required(),
        "nominal size (PS 20, dry), or dressed thickness and width",
    ),
    Key("length", Length(300, 20000), Required(), "length as bought, of a sheet the way its grain runs"),
    Key(
        "kind",
        OneOf("board", "sheet"),
        Fixed("board", "board"),
        "a board, as wide as its parts, or a sheet of panel or plate, its width the other side",
    ),
    Key(
        "grain",
        OneOf("along", "free"),
        Fixed("along", "along"),
        "of a sheet: parts lie along it or turned end for end, or at any angle",
    ),
    Key(
        "quantity",
        Whole(0, 10000),
        Absent("as many as needed: the list is a shopping list"),
        "how many there are",
    ),
    Key(
        "price",
        Money(1_000_000),
        Absent("boards are told apart by length alone"),
        "price of one, in your money",
    ),
    Key(
        "widths",
        ListOf(Length(1, 1600), 1, _MOST_ITEMS),
        Absent("the width by its size"),
        "tape readings of the width along the board; the least one governs",
    ),
    Key(
        "defects",
        ListOf(Pair(("from", _ALONG), ("to", _ALONG)), 0, _MOST_ITEMS),
        Fixed([], []),
        "stretches along the board, from its left end, to keep parts off",
    ),
)
#: 8 to 16 feet, the lengths that yards keep (common practice, no source).
_YARD = [{"size": "2x12", "length": f"{feet}'"} for feet in (8, 10, 12, 14, 16)]

_LAYER_DOCS: Final = {
    "PART": "the closed design outline, in parts/",
    "CUT": "what the tool cuts, in boards/",
    "DRILL": "circles",
    "MARK": "shallow lines: labels and index marks",
    "STOCK": "the board's outline, for reference, never cut",
    "NOTE": "text for people",
    "POCKET": "what is milled to a depth, as closed contours",
    "TAB": "stretches of a cut that hold the part until it is lifted out",
    "LEAD": "how the tool comes onto a closed contour",
}
LAYERS: Final = Record(
    *(Key(name, LayerName(255), Fixed(name, name), doc) for name, doc in _LAYER_DOCS.items()),
    into=_layers,
    together={"allOf": [{"not": {"required": [name, name.lower()]}} for name in _LAYER_DOCS]},
    case="either",
)

JOB: Final = Record(
    Key(
        "units",
        OneOf("in", "mm"),
        Fixed("in", "in"),
        "what bare numbers mean, and the unit of every file written",
    ),
    Key(
        "job",
        Record(
            Key(
                "name",
                Text(200),
                Elsewhere("the file's name without its ending"),
                "goes on every page, file and part",
            ),
        ),
        Fixed({}, {}),
        "what the job is called",
    ),
    Key("site", SITE, Required(), "the ground, or the landing, below the floor"),
    Key("stair", STAIR, Fixed({}, {}), "the stair that is asked for"),
    Key("stringer", STRINGER, Fixed({}, {}), "the boards or plates that carry the treads"),
    Key(
        "holes", ListOf(HOLES, 0, _MOST_ITEMS), Fixed([], []), "holes drilled through every stringer, one table a kind"
    ),
    Key("pad", PAD, Fixed({}, {}), "the pad at the foot, where one is poured; not used with an existing landing"),
    Key("cutter", CUTTER, Fixed({}, {}), "the tool that cuts"),
    Key("tabs", TABS, Fixed({}, {}), "what holds parts and waste until they are lifted out"),
    Key("machine", MACHINE, Fixed({}, {}), "the machine and what it keeps clear"),
    Key("stock", ListOf(BOARDS, 1, _MOST_ITEMS), Fixed(_YARD, _YARD), "the boards in stock, one table a kind"),
    Key(
        "wood",
        WOOD,
        Absent("strength is not judged"),
        "what the boards are of, so that what they carry can be judged",
    ),
    Key("steel", STEEL, Absent("strength is not judged"), "what plates are of; their strength is for an engineer"),
    Key("loads", LOADS, Fixed({}, {}), "what the stair carries, each load with its unit"),
    Key("support", ListOf(SUPPORT, 0, 20), Fixed([], []), "posts or beams under the stringers, one table each"),
    Key(
        "tolerance",
        TOLERANCE,
        Absent("nothing is added up"),
        "what may be off when the stair stands, and what that does",
    ),
    Key("extras", EXTRAS, Fixed({}, {}), "small parts, laid where the boards that are needed anyway leave room"),
    Key(
        "treads",
        TREADS,
        Absent("no treads are listed", unwritten=True),
        "the tread boards, to be listed and cut beside the stringers",
    ),
    Key(
        "riser_boards",
        RISER_BOARDS,
        Absent("no riser boards are listed", unwritten=True),
        "the riser boards, likewise",
    ),
    Key(
        "rail",
        RAIL,
        Absent("no rail is listed", unwritten=True),
        "posts, rails and balusters at the stair's sides",
    ),
    Key(
        "lumber",
        LUMBER,
        Absent("8 to 16 ft, or 2.4 to 4.8 m, of every section that occurs, as many as needed", unwritten=True),
        "what treads, riser boards and rail are cut from, one table a kind",
    ),
    Key(
        "saw",
        SAW,
        Absent("1/8 in, or 3 mm", unwritten=True),
        "the saw that cuts them to length",
    ),
    Key(
        "as_cut",
        ListOf(AS_CUT, 0, _MOST_ITEMS),
        Absent("the first stringer was not read yet", unwritten=True),
        "tape readings of the first stringer that was cut, so that check can say whether to cut the rest; drop them "
        "once anything in the job is changed",
    ),
    Key("layers", LAYERS, Fixed({}, {}), "other names for the layers of the DXF files"),
    Key(
        "dxf",
        Record(
            Key(
                "version",
                OneOf("r2000", "r12", "r2010", "r2013"),
                Fixed("r2000", "r2000"),
                "version of the files; r12 for old controls, its unit stands in a NOTE",
            ),
        ),
        Fixed({}, {}),
        "the DXF files",
    ),
)
