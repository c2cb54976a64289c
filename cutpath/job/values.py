"""The job as frozen values: what a job file says, every default filled in, all lengths in millimetres.

One tree of values, read from its leaves to `Job` at the end, so that it stands in one file though a long one; the
forms' own values and those of the pieces are in modules beside it.
"""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from msgspec import Struct

from cutpath.job.as_cut_values import AsCutReading
from cutpath.job.form_values import FORM_KINDS, Form, FormKind, HoleSpec, Housing, Plate
from cutpath.job.piece_values import USUAL_SAW, RailSpec, RiserBoardSpec, SawSpec, TreadSpec
from cutpath.units import Unit

TopTread = Literal["one-below", "at-floor"]
Edges = Literal["factory", "trimmed"]
CutterKind = Literal["router", "beam"]
Corner = Literal["relieved", "rounded"]
PathKind = Literal["design", "centre"]
ReliefChoice = Literal["most-throat", "diagonal", "riser-side", "tread-side"]
Outside = Literal["sharp", "rolled"]
Direction = Literal["climb", "conventional"]
Indexing = Literal["stop", "holes"]
StockKind = Literal["board", "sheet"]
Grain = Literal["along", "free"]
DxfVersion = Literal["r12", "r2000", "r2010", "r2013"]


class Site(Struct, frozen=True):
    """What was measured on the ground.

    Attributes:
        profile: readings (out from the header face, down from the finished floor), out rising, or None for a
            landing that exists.
        total_rise: from an existing landing up to the finished floor, or None with a profile. One of the two is None.
        reveal_least: least height of the pad's top above the ground at the foot.
        reveal_most: greatest such height.
        above: points of what is overhead (out from the header face, up from the finished floor), out not falling;
            empty: none was given.
    """

    profile: tuple[tuple[float, float], ...] | None
    total_rise: float | None
    reveal_least: float
    reveal_most: float
    above: tuple[tuple[float, float], ...] = ()


class StairSpec(Struct, frozen=True):
    """The stair that is asked for.

    Attributes:
        rules: a shipped rule set's name, or the path to one of the user's own.
        top_tread: "one-below": one rise below the finished floor; "at-floor": level with it.
        unit_run: going of every step, nosing to nosing, level.
        unit_rise: the rise to hold, for which the pad moves; None: it follows from the riser count.
        risers: how many; None: the solver chooses.
        clear_width: of the stair.
        tread_thickness: of the tread boards.
        riser_board: thickness of the riser boards; 0: open risers.
        nosing: how far a tread stands out beyond the face below it, the riser board's or the riser cut.
        floor_overhang: how far the finished floor stands out beyond the header face.
        header_depth: from the finished floor down to the bottom of what the plumb cut bears on; None: not stated.
    """

    rules: str | Path
    top_tread: TopTread
    unit_run: float
    unit_rise: float | None
    risers: int | None
    clear_width: float
    tread_thickness: float
    riser_board: float
    nosing: float
    floor_overhang: float
    header_depth: float | None


class SillNotch(Struct, frozen=True):
    """The notch at the stringer's foot: `deep` level, `high` upright."""

    deep: float
    high: float


class StringerSpec(Struct, frozen=True):
    """What is asked of the stringers.

    Attributes:
        count: how many stringers.
        throat_least: required behind every notch, or between a housing and the board's edge.
        edges: whether the board's own edges are kept as the part's, or cut off.
        edge_trim: taken off each edge when trimmed.
        sill_notch: at the foot, or None.
        sill_depth_least: required between the last tread seat and the sill notch.
        top_gap: clearance between plumb cut and header.
        form: saw-tooth board, housed board, or plate.
        margin: from the nosings square up to the upper edge of a stringer without teeth, else 0.
        level_cut: from the floor down to the level cut of one at its upper end; None: as `design.straight` says.
        housing: with form "housed".
        plate: with form "plate".
        width: of stringers cut from sheets; None with boards, whose width they take.
        turn_over: whether parts may lie on a board with either face up.
    """

    count: int
    throat_least: float
    edges: Edges
    edge_trim: float
    sill_notch: SillNotch | None
    sill_depth_least: float
    top_gap: float
    form: Form = "notched"
    margin: float = 0.0
    level_cut: float | None = None
    housing: Housing | None = None
    plate: Plate | None = None
    width: float | None = None
    turn_over: bool = False

    @property
    def kind(self) -> FormKind:
        """What is to be known of its form."""
        return FORM_KINDS[self.form]

    @property
    def toothed(self) -> bool:
        """Whether the upper edge is cut into teeth that the treads lie on."""
        return self.form == "notched" or (self.plate is not None and self.plate.profile == "saw-tooth")


class Cutter(Struct, frozen=True):
    """The tool, and how it is to cut.

    Attributes:
        kind: a router or a beam.
        width: a router's diameter or a beam's kerf.
        corner: whether inside corners are relieved, or left at the tool's radius.
        path: whether files carry the design line or the tool's centre line.
        overrun: how far an open cut runs past the board's edge.
        relief: where a relieved corner is opened; "most-throat": where it leaves the most wood.
        outside: corners of a centre line that stick out, kept sharp or rolled round.
        direction: which way the tool travels; climb is clockwise round a part (with a spindle that turns clockwise,
            seen from above; common practice, no source).
        lead: length of the lead onto a closed contour of a centre line, 0 for none.
    """

    kind: CutterKind
    width: float
    corner: Corner
    path: PathKind
    overrun: float
    relief: ReliefChoice = "most-throat"
    outside: Outside = "sharp"
    direction: Direction = "climb"
    lead: float = 0.0

    @property
    def radius(self) -> float:
        """Half the width."""
        return self.width / 2


class Tabs(Struct, frozen=True):
    """Stretches left uncut, so that nothing comes loose before it is lifted out.

    Attributes:
        count: how many hold each part; 0: none.
        width: of each, along the cut.
        waste: "tabbed": the waste of each notch is held by one too; "free": it falls.
        shown: in a centre-line file, "gap": the cut is left out there; "layer": it stands on a layer of its own.
    """

    count: int = 0
    width: float = 12.0
    waste: Literal["free", "tabbed"] = "free"
    shown: Literal["gap", "layer"] = "gap"

    @property
    def any(self) -> bool:
        """Whether any tab is asked for, of a part or of waste."""
        return self.count > 0 or self.waste == "tabbed"


class Machine(Struct, frozen=True):
    """The machine, and what it keeps clear.

    Attributes:
        bed: its reach along and across; None: not stated.
        part_gap: least clear distance between parts as asked for; `Job.part_gap` is the one in force.
        end_trim: length kept clear at each end of a board.
        indexing: how a board longer than the bed is placed in each set-up.
        index_hole: diameter of index holes.
        overlap: how much of a cut two set-ups both make where they meet.
        common_cuts: whether neighbours may share a cut, one cutter width apart.
    """

    bed: tuple[float, float] | None
    part_gap: float
    end_trim: float
    indexing: Indexing = "stop"
    index_hole: float = 9.525
    overlap: float = 6.35
    common_cuts: bool = False


class StockBoards(Struct, frozen=True):
    """One kind of board in stock.

    Attributes:
        size: what it is called, for people: "2x12", or thickness x width in the job's unit.
        thickness: dressed thickness.
        width: dressed width by its size.
        least_width: what governs: the least tape reading, or `width` where none was taken.
        length: the board's own, as bought.
        quantity: how many there are; None: as many as needed.
        price: each, in the user's money; None: not stated.
        defects: stretches (from, to) along the board to keep parts off.
        offcut: an offcut's name; "": a whole board. An offcut's price is its share of its board's.
        source: which entry of a stock file it is, as "stock[0]"; "": the job's own.
        kind: a board, along one of whose edges parts lie, or a sheet, on which they lie where they fit.
        grain: of a sheet: parts lie along it or turned end for end, or at any angle.
    """

    size: str
    thickness: float
    width: float
    least_width: float
    length: float
    quantity: int | None
    price: float | None
    defects: tuple[tuple[float, float], ...]
    offcut: str = ""
    source: str = ""
    kind: StockKind = "board"
    grain: Grain = "along"


class Layers(Struct, frozen=True):
    """The layer names in the DXF files, each default renamed by the job's `[layers]` table.

    Attributes:
        part: design outlines.
        cut: contours that are cut through.
        drill: holes that are drilled.
        mark: lettering.
        stock: the board's outline.
        note: notes, which nothing is cut by.
        pocket: pockets, which don't go through.
        tab: stretches that stay uncut.
        lead: leads onto contours and off them.
    """

    part: str = "PART"
    cut: str = "CUT"
    drill: str = "DRILL"
    mark: str = "MARK"
    stock: str = "STOCK"
    note: str = "NOTE"
    pocket: str = "POCKET"
    tab: str = "TAB"
    lead: str = "LEAD"


class Pad(Struct, frozen=True):
    """The pad at the stair's foot, to be poured; of an existing landing only the depth is used.

    Attributes:
        depth: from the foot out to the pad's far edge, or of an existing landing; None: the rule set's landing depth,
            or not known.
        width: across the stair; None: the stair's clear width.
        thickness: of the concrete.
        bag_yield: concrete that one bag makes, cubic millimetres; None: bags are not counted.
        bag_source: where the yield comes from; None without one.
    """

    depth: float | None = None
    width: float | None = None
    thickness: float = 101.6
    bag_yield: float | None = None
    bag_source: str | None = None


class Extras(Struct, frozen=True):
    """Small parts that are laid where the boards leave room.

    Attributes:
        pitch_gauge: the block with the stair's rise and run.
        trial_piece: the trial piece, besides the file of its own.
        sill_plate: the plate under the sill notch, in so many equal pieces; 0: none.
    """

    pitch_gauge: bool = False
    trial_piece: bool = False
    sill_plate: int = 0

    @property
    def any(self) -> bool:
        """Whether any is asked for."""
        return self.pitch_gauge or self.trial_piece or self.sill_plate > 0


class Wood(Struct, frozen=True):
    """What the boards are of.

    Attributes:
        species: as on the grade stamp, or a strength class.
        grade: as stamped; None with a strength class, which needs none.
        wet: over 19 percent moisture in service, or service class 3.
        treated: incised for treatment.
    """

    species: str
    grade: str | None = None
    wet: bool = True
    treated: bool = False


class Loads(Struct, frozen=True):
    """What the stair carries; None: the default of the job's unit.

    Attributes:
        live: uniform, on the level, N/mm2.
        point: concentrated, on a tread, apart from the uniform one, N.
        dead: the stair's own weight, on the level, N/mm2.
        duration: how long the live load lasts, which the strength of wood hangs on.
    """

    live: float | None = None
    point: float | None = None
    dead: float | None = None
    duration: str = "normal"


class Support(Struct, frozen=True):
    """A post or beam under the stringers: level distance out from the header face, and its length along the flight."""

    at: float
    length: float


class Tolerance(Struct, frozen=True):
    """What may be off when the stair stands, either way, and what drying does.

    Attributes:
        cut: a cut line off its place.
        board_width: boards of one stair off the width that was measured.
        pad: the pad's top off its level.
        moisture: percent when cut and in service; None: no drying is reckoned with.
    """

    cut: float
    board_width: float
    pad: float
    moisture: tuple[float, float] | None


class Job(Struct, frozen=True):
    """One job file, whole.

    Attributes:
        units: what bare numbers in its file mean, and the unit that it is told in.
        name: of the job and its parts.
        site: what was measured on the ground.
        stair: that is asked for.
        stringer: what is asked of the stringers.
        cutter: the tool.
        machine: what moves it.
        stock: the boards, or the sheets, that the stringers may be cut from.
        layers: how layers of the cut files are called.
        dxf_version: that they are written in.
        pad: at the stair's foot.
        tabs: that hold parts while they are cut.
        holes: besides those for tread brackets.
        extras: small parts that are laid where there is room.
        wood: what boards are of; None: not stated, and their strength isn't judged.
        steel: what plates are of; None: likewise.
        loads: that the stair carries.
        support: posts or beams under the stringers, as its file has them.
        tolerance: what may be off; None: nothing is added up.
        treads: the tread boards to list; None: none.
        riser_boards: likewise.
        rail: likewise.
        lumber: what those are cut from; empty: yard lengths of every section that occurs.
        saw: what cuts them to length; None: `sawing` has the usual.
        as_cut: what was read by tape off the first stringer that was cut; empty: nothing.
    """

    units: Unit
    name: str
    site: Site
    stair: StairSpec
    stringer: StringerSpec
    cutter: Cutter
    machine: Machine
    stock: tuple[StockBoards, ...]
    layers: Layers
    dxf_version: DxfVersion
    pad: Pad = Pad()
    tabs: Tabs = Tabs()
    holes: tuple[HoleSpec, ...] = ()
    extras: Extras = Extras()
    wood: Wood | None = None
    steel: str | None = None
    loads: Loads = Loads()
    support: tuple[Support, ...] = ()
    tolerance: Tolerance | None = None
    treads: TreadSpec | None = None
    riser_boards: RiserBoardSpec | None = None
    rail: RailSpec | None = None
    lumber: tuple[StockBoards, ...] = ()
    saw: SawSpec | None = None
    as_cut: tuple[AsCutReading, ...] = ()

    @property
    def lists_pieces(self) -> bool:
        """Whether more than the stringers is asked for."""
        return not (self.treads is None and self.riser_boards is None and self.rail is None)

    @property
    def sawing(self) -> SawSpec:
        """The saw that cuts the other pieces, as stated or the usual one."""
        return self.saw or USUAL_SAW[self.units]

    @property
    def on_sheets(self) -> bool:
        """Whether the stringers are cut from sheets; a job's stock is all boards or all sheets."""
        return all(entry.kind == "sheet" for entry in self.stock)

    @property
    def side_trim(self) -> float:
        """How far a trimmed part keeps off its stock's long sides, millimetres.

        On a sheet no less than off its ends: a cut that runs on the very edge leaves no straight side, and nothing for
        tabs to hold to.
        """
        return max(self.stringer.edge_trim, self.machine.end_trim) if self.on_sheets else self.stringer.edge_trim

    @property
    def stock_word(self) -> str:
        """What the stringers are cut from, for people."""
        return "sheet" if self.on_sheets else "board"

    @property
    def part_gap(self) -> float:
        """Least clear distance between parts in force, millimetres.

        As asked, but never under the cutter's width, and a little more: where a path keeps its corners sharp the tool's
        centre swings out by the square root of two, so that its far side reaches 1.21 widths from the part. With centre
        lines in the files two such corners (1.42 widths together) must not touch either. Parts that are cut all round
        are entered by a lead, which must not reach the neighbour. Only parts that share a cut stand closer, at one
        width, where `nest.boards.shared` finds that neither is cut into.
        """
        share = 1.5 if self.cutter.path == "centre" else 1.25
        lead = self._lead_room if self.stringer.edges == "trimmed" else 0.0
        return max(self.machine.part_gap, share * self.cutter.width, lead)

    @property
    def loose_gap(self) -> float:
        """Least clear distance of a small part from other parts and, where there is room, from the board's edges.

        The part gap, or more where the tool's way onto the small part's contour needs it.
        """
        return max(self.part_gap, self._lead_room)

    @property
    def _lead_room(self) -> float:
        """How far a tool on its way onto a closed contour reaches from the part; 0 without leads."""
        cutter = self.cutter
        return cutter.lead + 1.5 * cutter.width if cutter.path == "centre" and cutter.lead else 0.0
