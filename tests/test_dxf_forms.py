"""Files printed from forms are what ezdxf itself writes, byte for byte; and what it reads of them."""

from __future__ import annotations

import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.drawing import Circle, Drawing, LayerChain, Note, in_units
from cutpath.dxf.forms import FOLDER, HEADING
from cutpath.dxf.read_back import read_dxf
from cutpath.dxf.second_reading import read_by_library
from cutpath.dxf.write import dxf_bytes
from cutpath.faults import FileMismatch
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Chain
from cutpath.units import Unit
from tests.dxf_by_library import library_bytes
from tests.dxf_sample import LAYERS, PLATE, sample
from tests.renew_dxf_forms import VERSIONS, forms

GOLDEN = Path(__file__).parent.parent / "fixtures" / "golden"
every_version = pytest.mark.parametrize("version", VERSIONS)


@every_version
def test_forms_are_those_that_the_library_makes_now(version: DxfVersion) -> None:
    """Where this fails after a new release of ezdxf: `python -m tests.renew_dxf_forms`, and read the diff."""
    kept = (FOLDER / f"{version}.txt").read_text(encoding="ascii")
    assert kept == "".join(f"{HEADING}{name}\n{form}" for name, form in forms(version).items())


def same_as_library(drawing: Drawing, units: Unit, version: DxfVersion, layers: Layers = LAYERS) -> bool:
    return dxf_bytes("x", drawing, units, version, layers) == library_bytes(
        in_units(drawing, units), units, version, layers
    )


@every_version
@pytest.mark.parametrize("units", ["in", "mm"])
def test_a_file_is_the_librarys_own(version: DxfVersion, units: Unit) -> None:
    whole = sample()
    assert same_as_library(whole, units, version)
    assert same_as_library(replace(whole, notes=()), units, version)
    assert same_as_library(replace(whole, circles=()), units, version)
    assert same_as_library(Drawing((LayerChain(LAYERS.part, PLATE),)), units, version)
    assert same_as_library(Drawing(circles=whole.circles), units, version)


@every_version
def test_layers_with_names_of_their_own(version: DxfVersion) -> None:
    """The format's own layer "0", one that the library has removed, letters of no code page, braces."""
    layers = Layers(part="0", mark="Defpoints", drill="{left}", note="注 {0}")
    whole = sample()
    renamed = {LAYERS.part: "0", LAYERS.mark: "Defpoints", LAYERS.drill: "{left}"}
    drawing = Drawing(
        tuple(LayerChain(renamed[c.layer], c.chain) for c in whole.chains),
        tuple(Circle(renamed[o.layer], o.centre, o.radius) for o in whole.circles),
        (Note("{seed} }{ %s", (120.0, 30.0), 3.0),),
    )
    assert same_as_library(drawing, "mm", version, layers)


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from(VERSIONS),
    st.lists(st.tuples(st.floats(-1e5, 1e5), st.floats(-1e5, 1e5)), min_size=3, max_size=5, unique=True),
    st.floats(1e-7, 1.0),
)
def test_numbers_of_any_size(version: DxfVersion, points: list[tuple[float, float]], bulge: float) -> None:
    """Small ones, which print with exponents, too; what no file may carry is refused before."""
    chain = Chain(tuple(points), (bulge, *[0.0] * (len(points) - 1)), closed=False)
    try:
        dxf_bytes("x", Drawing((LayerChain(LAYERS.mark, chain),)), "mm", version, LAYERS)
    except FileMismatch:
        return
    assert same_as_library(Drawing((LayerChain(LAYERS.mark, chain),)), "mm", version)


@pytest.mark.parametrize("path", sorted(GOLDEN.rglob("*.dxf")), ids=lambda p: f"{p.parts[-3]}-{p.stem}")
def test_every_file_of_the_demos_is_the_librarys_own(path: Path) -> None:
    """What is read of it, written by the library, is the file again, but for digits lost in turning inches about."""
    job = json.loads((path.parents[1] / "result.json").read_text(encoding="utf-8"))["job"]
    layers = Layers(**{default.lower(): name for default, name in job["layers"].items()})
    data = path.read_bytes()
    read = read_dxf(path.name, data, "in", layers.note)
    units = read.units or "in"
    again = library_bytes(in_units(read.drawing, units), units, read.version, layers)
    assert len(again.split(b"\n")) == len(data.split(b"\n"))
    for ours, theirs in zip(data.decode().split("\n"), again.decode().split("\n"), strict=True):
        assert ours == theirs or float(ours) == pytest.approx(float(theirs), abs=1e-7)


def test_a_second_reading_of_every_demo() -> None:
    counts = []
    for job in sorted(GOLDEN.iterdir()):
        files = {str(path): path.read_bytes() for path in job.rglob("*.dxf")}
        first = read_dxf("x", next(iter(files.values())), "in", "NOTE")
        counts.append(read_by_library({**files, "page.html": b""}, first.units or "in", first.version, "NOTE"))
        assert counts[-1] == len(files)
    assert all(counts)


@pytest.mark.parametrize("version", ["r2000", "r2010"])
@pytest.mark.parametrize("cut", ["Näht", "σανίδα", "🪚", "^x"])
def test_a_second_reading_knows_layers_of_any_script(version: DxfVersion, cut: str) -> None:
    layers = replace(LAYERS, cut=cut)
    data = dxf_bytes("x.dxf", Drawing((LayerChain(cut, PLATE),)), "mm", version, layers)
    assert read_by_library({"x.dxf": data}, "mm", version, "NOTE") == 1


WRONG = {
    "cut off": (rb"(?s)  0\nSECTION\n  2\nOBJECTS.*", b""),
    "no number": (rb" 40\n6\.35\n", b" 40\nsix\n"),
    "a kind that we don't write": (rb"  0\nTEXT\n", b"  0\nPOINT\n"),
}


@pytest.mark.parametrize("what", WRONG)
def test_a_second_reading_refuses_what_is_wrong(what: str) -> None:
    pattern, put = WRONG[what]
    drawing = replace(sample(), chains=(LayerChain(LAYERS.cut, PLATE),))
    data = dxf_bytes("x.dxf", drawing, "mm", "r2000", LAYERS)
    assert read_by_library({"x.dxf": data}, "mm", "r2000", "NOTE") == 1
    wrong, times = re.subn(pattern, put, data)
    assert times
    with pytest.raises(FileMismatch, match=r"x\.dxf: "):
        read_by_library({"x.dxf": wrong}, "mm", "r2000", "NOTE")
