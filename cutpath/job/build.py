"""From a job file's checked values to the frozen `Job`."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutpath.job.between import merged
from cutpath.job.form_values import Bracket, HoleSpec, Housing, Plate
from cutpath.job.values import (
    Cutter,
    Extras,
    Job,
    Layers,
    Machine,
    Pad,
    SillNotch,
    Site,
    StairSpec,
    StockBoards,
    StringerSpec,
    Tabs,
)

if TYPE_CHECKING:
    from cutpath.units import Unit

Values = dict[str, Any]


def build(values: Values, folder: Path) -> Job:
    """The job.

    Args:
        values: every key's value without a fault, lengths in exact millimetres.
        folder: the job file's, from which a path to a rule set is seen.
    """
    unit: Unit = values["units"]
    machine = values["machine"]
    bed = machine["bed"]
    return Job(
        units=unit,
        name=values["job"]["name"],
        site=_site(values["site"]),
        stair=_stair(values["stair"], folder),
        stringer=_stringer(values["stringer"]),
        cutter=_cutter(values["cutter"]),
        machine=Machine(
            bed=None if bed is None else (float(bed[0]), float(bed[1])),
            part_gap=float(machine["part_gap"]),
            end_trim=float(machine["end_trim"]),
            indexing=machine["indexing"],
            index_hole=float(machine["index_hole"]),
            overlap=float(machine["overlap"]),
            common_cuts=machine["common_cuts"],
        ),
        stock=added_up([boards_of(entry, unit) for entry in values["stock"]]),
        layers=Layers(**{key.lower(): name for key, name in values["layers"].items()}),
        dxf_version=values["dxf"]["version"],
        pad=_pad(values["pad"]),
        holes=tuple(_hole(hole) for hole in values["holes"]),
        tabs=_tabs(values["tabs"]),
        extras=_extras(values["extras"]),
    )


def _optional(length: Any) -> float | None:
    return None if length is None else float(length)


def _site(site: Values) -> Site:
    profile, reveal = site["profile"], site["pad_reveal"] or {"least": 0, "most": 0}
    return Site(
        profile=None if profile is None else tuple((float(out), float(down)) for out, down in profile),
        total_rise=_optional(site["total_rise"]),
        reveal_least=float(reveal["least"]),
        reveal_most=float(reveal["most"]),
    )


def _stair(stair: Values, folder: Path) -> StairSpec:
    return StairSpec(
        rules=rules_of(stair["rules"], folder),
        top_tread=stair["top_tread"],
        unit_run=float(stair["unit_run"]),
        unit_rise=_optional(stair["unit_rise"]),
        risers=stair["risers"],
        clear_width=float(stair["clear_width"]),
        tread_thickness=float(stair["tread_thickness"]),
        riser_board=float(stair["riser_board"]),
        nosing=float(stair["nosing"]),
        floor_overhang=float(stair["floor_overhang"]),
        header_depth=_optional(stair["header_depth"]),
    )


def rules_of(text: str, folder: Path) -> str | Path:
    """A rule set's name, or a path seen from `folder`: what ends in .toml or holds a separator is one."""
    if "/" in text or "\\" in text or text.lower().endswith(".toml"):
        return folder / text
    return text


def _stringer(stringer: Values) -> StringerSpec:
    notch = stringer["sill_notch"]
    return StringerSpec(
        count=stringer["count"],
        throat_least=float(stringer["throat_least"]),
        edges=stringer["edges"],
        edge_trim=float(stringer["edge_trim"]),
        sill_notch=None if notch is None else SillNotch(float(notch["deep"]), float(notch["high"])),
        sill_depth_least=float(stringer["sill_depth_least"]),
        top_gap=float(stringer["top_gap"]),
        form=stringer["form"],
        margin=0.0 if _toothed(stringer) else float(stringer["margin"]),
        level_cut=_optional(stringer["level_cut"]),
        housing=_housing(stringer["housing"]),
        plate=_plate(stringer["plate"]),
        width=_optional(stringer["width"]),
        turn_over=stringer["turn_over"],
    )


def _toothed(stringer: Values) -> bool:
    plate = stringer["plate"]
    return stringer["form"] == "notched" or (plate is not None and plate["profile"] == "saw-tooth")


def _housing(housing: Values | None) -> Housing | None:
    if housing is None:
        return None
    return Housing(
        depth=float(housing["depth"]),
        play=float(housing["play"]),
        tread_length_play=float(housing["tread_length_play"]),
        behind_least=_optional(housing["behind_least"]),
    )


def _plate(plate: Values | None) -> Plate | None:
    if plate is None:
        return None
    bracket = plate["bracket"]
    return Plate(
        profile=plate["profile"],
        bracket=Bracket(
            diameter=float(bracket["diameter"]),
            slot=float(bracket["slot"]),
            count=bracket["count"],
            at=(float(bracket["at"][0]), float(bracket["at"][1])),
            spacing=float(bracket["spacing"]),
            edge_least=float(bracket["edge_least"]),
        ),
    )


def _hole(hole: Values) -> HoleSpec:
    return HoleSpec(
        what=hole["what"],
        diameter=float(hole["diameter"]),
        near=hole["near"],
        treads=None if hole["tread"] in (None, "all") else hole["tread"],
        at=(float(hole["at"][0]), float(hole["at"][1])),
        edge_least=float(hole["edge_least"]),
    )


def _pad(pad: Values) -> Pad:
    return Pad(
        depth=_optional(pad["depth"]),
        width=_optional(pad["width"]),
        thickness=float(pad["thickness"]),
        bag_yield=_optional(pad["bag_yield"]),
        bag_source=pad["bag_source"],
    )


def _cutter(cutter: Values) -> Cutter:
    return Cutter(
        kind=cutter["kind"],
        width=float(cutter["width"]),
        corner=cutter["corner"],
        path=cutter["path"],
        overrun=float(cutter["overrun"]),
        relief=cutter["relief"],
        outside=cutter["outside"],
        direction=cutter["direction"],
        lead=float(cutter["lead"]),
    )


def _tabs(tabs: Values) -> Tabs:
    return Tabs(count=tabs["count"], width=float(tabs["width"]), waste=tabs["waste"], shown=tabs["shown"])


def _extras(extras: Values) -> Extras:
    return Extras(extras["pitch_gauge"], extras["trial_piece"], int(extras["sill_plate"]))


def boards_of(entry: Values, unit: Unit) -> StockBoards:
    """One `[[stock]]` entry."""
    size = entry["size"]
    return StockBoards(
        size=size.label(unit),
        thickness=float(size.thickness),
        width=float(size.width),
        least_width=float(min(entry["widths"] or [size.width])),
        length=float(entry["length"]),
        quantity=entry["quantity"],
        price=entry["price"],
        defects=tuple((float(start), float(end)) for start, end in merged(entry["defects"])),
        kind=entry["kind"],
        grain=entry["grain"],
    )


def added_up(entries: list[StockBoards]) -> tuple[StockBoards, ...]:
    """Entries alike in all but quantity made one, in the place of the first; an open quantity stays open."""
    counts: dict[StockBoards, int | None] = {}
    for entry in entries:
        kind = replace(entry, quantity=None)
        before = counts.get(kind, 0)
        counts[kind] = None if before is None or entry.quantity is None else before + entry.quantity
    return tuple(replace(kind, quantity=count) for kind, count in counts.items())
