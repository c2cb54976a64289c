"""DXF files: what is in them, and that they read back as what was meant."""

from __future__ import annotations

import math
import os
import re
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutpath.drawing import Circle, Drawing, LayerChain, Note, in_units
from cutpath.dxf.read_back import compare, read_dxf, verified_dxf
from cutpath.dxf.write import dxf_bytes
from cutpath.faults import FileMismatch
from cutpath.job.values import DxfVersion, Layers
from cutpath.outline import Box, Chain, straight
from cutpath.units import Unit
from tests.dxf_sample import LAYERS, PLATE, UNITS, VERSIONS, every_file, sample
from tests.other_reader import read_entities, read_header, read_pairs

GOLDEN = sorted((Path(__file__).parent.parent / "fixtures" / "golden").rglob("*.dxf"))


@every_file
def test_only_the_entities_and_layers_that_a_shop_takes(written: Path, version: DxfVersion) -> None:
    entities = read_entities(written)
    line = {"POLYLINE", "VERTEX", "SEQEND"} if version == "r12" else {"LWPOLYLINE"}
    assert {e[0][1] for e in entities} == line | {"CIRCLE", "TEXT"}
    for entity in entities:
        layer = next(value for code, value in entity if code == 8)
        assert (entity[0][1] == "TEXT") == (layer == "NOTE")
    pairs = read_pairs(written)
    assert (0, "INSERT") not in pairs
    layers = pairs[pairs.index((2, "LAYER")) :]
    layers = layers[: layers.index((0, "ENDTAB"))]
    rows = "".join(f"{c}={v};" for c, v in layers).split("0=LAYER;")[1:]
    table = {
        row.split(";2=")[1].split(";")[0] if ";2=" in row else row.split("2=")[1].split(";")[0]: row for row in rows
    }
    assert set(table) == {"0", "PART", "MARK", "DRILL", "NOTE"}
    colours = [re.search(r";62=(\d+);", table[name]) for name in ("PART", "MARK", "DRILL", "NOTE")]
    assert len({m[1] for m in colours if m and 1 <= int(m[1]) <= 7}) == 4, "plain colours, one a layer"
    assert all(";6=Continuous;" in row for row in table.values())


@every_file
def test_numbers_are_plain(written: Path) -> None:
    """No exponent, no minus zero, and coordinates of nine decimals at most."""
    for entity in read_entities(written):
        for code, value in entity:
            if 10 <= code < 60:
                assert re.fullmatch(r"-?\d+\.\d+", value), (entity[0], code, value)
                assert not re.fullmatch(r"-0\.0+", value)
                assert code == 42 or len(value.split(".")[1]) <= 9


def test_small_numbers_lose_their_exponent_and_no_digit(tmp_path: Path) -> None:
    bulge = 1.234567890123456e-05
    chain = Chain(((-0.0, 0.0), (90.0, -3e-16), (90.0, 2e-8), (50.0, 90.0)), (bulge, 0.0, 0.0, -3e-5), closed=True)
    drawing = Drawing((LayerChain("PART", chain),), (), (Note("1e-05", (40.0, 100.0), 2.0),))
    with pytest.raises(FileMismatch, match="segment 2"):
        verified_dxf("x.dxf", drawing, "mm", "r2000", LAYERS)[0]
    chain = Chain(((-0.0, 0.0), (90.0, -3e-16), (90.0, 2e-5), (50.0, 90.0)), (bulge, 0.0, 0.0, -3e-5), closed=True)
    drawing = Drawing((LayerChain("PART", chain),), (), (Note("1e-05", (40.0, 100.0), 2.0),))
    path = tmp_path / "x.dxf"
    for version in VERSIONS:
        path.write_bytes(verified_dxf("x.dxf", drawing, "mm", version, LAYERS)[0])
        values = [pair for entity in read_entities(path) for pair in entity]
        assert (42, "0.00001234567890123456") in values
        assert (20, "0.00002") in values
        assert (42, "-0.00003") in values
        assert (1, "1e-05") in values, "a text that looks like a number is left alone"


@every_file
def test_notes_come_back_whole(version: DxfVersion, units: Unit) -> None:
    data = dxf_bytes("sample.dxf", sample(), units, version, LAYERS)
    texts = [n.text for n in read_dxf("sample.dxf", data, units, "NOTE").drawing.notes]
    assert texts == [
        "Barn steps",
        "Größe ½ 中文 \U0001f642",
        # A doubled percent sign starts a code in TEXT, whatever it is escaped with, so it is the one thing to give way.
        "a/b\\c 100% % ^J x^ y \\U+0041 \\M+18140",
        "line break tab end",
    ]


@pytest.mark.parametrize("version", VERSIONS)
def test_a_code_in_a_name_is_no_code_to_ezdxf(version: DxfVersion) -> None:
    """Held against ezdxf's own decoding of the three kinds of codes."""
    import io

    from ezdxf.lldxf.encoding import decode_dxf_unicode, has_mif_encoding
    from ezdxf.tools.text import plain_text

    encoding = "cp1252" if version in ("r12", "r2000") else "utf-8"
    data = dxf_bytes("x.dxf", sample("\\U+0041 \\M+18140 %%d ^J x^ y"), "mm", version, LAYERS).decode(encoding)
    raw = ezdxf.read(io.StringIO(data)).modelspace().query("TEXT").first.dxf.text
    assert not has_mif_encoding(raw)
    assert decode_dxf_unicode(plain_text(raw)) == "\\U+0041 \\M+18140 % %d ^J x^ y"


@pytest.mark.slow
@settings(max_examples=25, deadline=None)
@given(st.text(min_size=1, max_size=40), st.sampled_from(VERSIONS))
def test_any_name_keeps_the_file_whole(text: str, version: DxfVersion) -> None:
    data = verified_dxf("x.dxf", sample("Job: " + text), "mm", version, LAYERS)[0]
    read = read_dxf("x.dxf", data, "mm", "NOTE").drawing
    assert len(read.notes) == 1
    assert read.notes[0].text.startswith("Job:")
    if version == "r12":
        assert data.count(b"\n") == dxf_bytes("x.dxf", sample("Job: x"), "mm", version, LAYERS).count(b"\n")


@every_file
def test_same_bytes_again_and_in_another_process(written: Path, version: DxfVersion, units: Unit) -> None:
    assert written.read_bytes() == verified_dxf("sample.dxf", sample(), units, version, LAYERS)[0]
    assert ezdxf.__version__.encode() not in written.read_bytes()


@pytest.mark.slow
def test_same_bytes_in_another_process() -> None:
    code = (
        "import sys; sys.path.insert(0, sys.argv[1])\n"
        "from tests.dxf_sample import sample, LAYERS\n"
        "from cutpath.dxf.read_back import verified_dxf\n"
        "for v in ('r12', 'r2000', 'r2010', 'r2013'):\n"
        "    sys.stdout.buffer.write(verified_dxf('sample.dxf', sample(), 'in', v, LAYERS)[0])\n"
    )
    outputs = []
    # Seeds for which sets of the library's come in different orders.
    for seed, zone in (("1", "UTC"), ("4", "Asia/Tokyo")):
        env = {**os.environ, "PYTHONHASHSEED": seed, "TZ": zone}
        run = subprocess.run(
            [sys.executable, "-c", code, str(Path(__file__).parents[1])], env=env, capture_output=True, check=True
        )
        assert run.stderr == b"", "the library's remarks are for nobody's standard error"
        outputs.append(run.stdout)
    assert outputs[0] == outputs[1]
    assert outputs[0] == b"".join(verified_dxf("sample.dxf", sample(), "in", v, LAYERS)[0] for v in VERSIONS)


@every_file
def test_layers_with_names_of_the_librarys_and_of_no_code_page(version: DxfVersion, units: Unit) -> None:
    """The format's own layer "0", one that the library has removed, braces, letters of no code page, a caret."""
    layers = Layers(part="0", mark="Defpoints", drill="{left}", note="注 {0} 🪚^x")
    swap = {LAYERS.part: "0", LAYERS.mark: "Defpoints", LAYERS.drill: "{left}"}
    plain = sample()
    drawing = Drawing(
        tuple(LayerChain(swap[c.layer], c.chain) for c in plain.chains),
        tuple(Circle(swap[c.layer], c.centre, c.radius) for c in plain.circles),
        (Note("{seed} }{ %s", (120.0, 130.0), 3.0),),
    )
    data, read = verified_dxf("x", drawing, units, version, layers)
    assert {c.layer for c in read.chains} == {"0", "Defpoints"}
    assert {c.layer for c in read.circles} == {"{left}"}
    assert "注 {0} 🪚^x" in read_dxf("x", data, units, layers.note).layers


@every_file
def test_the_library_finds_no_fault(written: Path) -> None:
    auditor = ezdxf.readfile(written).audit()
    assert (auditor.errors, auditor.fixes) == ([], [])


@pytest.mark.parametrize("path", GOLDEN, ids=lambda p: f"{p.parts[-3]}-{p.stem}")
def test_the_library_finds_no_fault_in_any_file_of_the_demos(path: Path) -> None:
    auditor = ezdxf.readfile(path).audit()
    assert (auditor.errors, auditor.fixes) == ([], [])


@pytest.mark.parametrize("box", [(0.0, 0.0, 90.0, 60.0), (-90.0, -60.0, 0.0, 0.0), (7.0, -3.0, 11.0, 5.0)])
@pytest.mark.parametrize("version", VERSIONS)
def test_extents_are_stated_wherever_the_origin_is(tmp_path: Path, version: DxfVersion, box: Box) -> None:
    """The library leaves the header's alone where a corner of the layout's is the origin."""
    left, bottom, right, top = box
    plate = straight(((left, bottom), (right, bottom), (right, top), (left, top)), closed=True)
    path = tmp_path / "x.dxf"
    path.write_bytes(verified_dxf("x.dxf", Drawing((LayerChain("CUT", plate),)), "mm", version, LAYERS)[0])
    header = read_header(path)
    assert [float(v) for v in header["$EXTMIN"][:2] + header["$EXTMAX"][:2]] == list(box)
    assert [float(v) for v in header["$LIMMIN"][:2] + header["$LIMMAX"][:2]] == list(box)


def test_the_librarys_options_are_left_as_they_were() -> None:
    from ezdxf import options

    for before in (True, False):
        options.write_fixed_meta_data_for_testing = before
        dxf_bytes("x", sample(), "mm", "r2000", LAYERS)
        assert options.write_fixed_meta_data_for_testing is before


CHANGES = {
    "a point": lambda t: t.replace("\n254.0\n 20\n40.0\n", "\n254.000002\n 20\n40.0\n", 1),
    "a bulge": lambda t: t.replace("\n0.41421356237309503\n", "\n0.41421356237309515\n"),
    "a bulge's sign": lambda t: t.replace(" 42\n-1.0\n", " 42\n1.0\n"),
    "open": lambda t: t.replace(" 90\n9\n 70\n1\n", " 90\n9\n 70\n0\n"),
    "a layer": lambda t: t.replace("  8\nDRILL\n", "  8\nMARK\n"),
    "a radius": lambda t: t.replace(" 40\n6.35\n", " 40\n6.36\n"),
    "a note": lambda t: t.replace("Barn steps", "Barn stops"),
    "the unit": lambda t: t.replace("$INSUNITS\n 70\n4\n", "$INSUNITS\n 70\n1\n"),
    "no unit": lambda t: t.replace("$INSUNITS\n 70\n4\n", "$INSUNITS\n 70\n0\n"),
    "the measurement": lambda t: t.replace("$MEASUREMENT\n 70\n1\n", "$MEASUREMENT\n 70\n0\n"),
    "the extents": lambda t: t.replace("$EXTMAX\n 10\n264.0\n", "$EXTMAX\n 10\n254.0\n"),
    "the version": lambda t: t.replace("AC1015", "AC1024"),
    "an unknown version": lambda t: t.replace("AC1015", "AC1018"),
    "a missing circle": lambda t: re.sub(r"  0\nCIRCLE\n.*?(?=  0\n)", "", t, count=1, flags=re.DOTALL),
    "a line more": lambda t: t.replace(
        "  0\nCIRCLE\n",
        "  0\nLINE\n  5\nFFF\n330\n17\n100\nAcDbEntity\n  8\nPART\n100\nAcDbLine\n 10\n0.0\n 20\n0.0\n 30\n0.0\n"
        " 11\n9.0\n 21\n9.0\n 31\n0.0\n  0\nCIRCLE\n",
    ),
    "text on another layer": lambda t: t.replace("  8\nNOTE\n", "  8\nPART\n", 1),
    "half a file": lambda t: t[: len(t) // 2],
    "a number that is none": lambda t: t.replace(" 40\n6.35\n", " 40\nnan\n"),
}


@pytest.mark.parametrize("change", CHANGES)
def test_a_file_that_differs_is_refused(change: str) -> None:
    drawing = sample()
    data = dxf_bytes("parts/a.dxf", drawing, "mm", "r2000", LAYERS)
    compare("parts/a.dxf", drawing, read_dxf("parts/a.dxf", data, "mm", "NOTE"), "mm", "r2000")
    text = data.decode("cp1252")
    changed = CHANGES[change](text)
    assert changed != text, "the change found its place"
    with pytest.raises(FileMismatch) as caught:
        compare("parts/a.dxf", drawing, read_dxf("parts/a.dxf", changed.encode("cp1252"), "mm", "NOTE"), "mm", "r2000")
    assert str(caught.value).startswith("parts/a.dxf: ")
    assert len(caught.value.lines) == 1


def test_a_difference_under_the_tolerance_is_none() -> None:
    """A nanometre is no difference, a hundredth of a thousandth is."""
    drawing = sample()
    read = read_dxf("x", dxf_bytes("x", drawing, "in", "r2000", LAYERS), "in", "NOTE")
    for off, same in ((9e-7, True), (2e-6, False)):
        points = ((20.0 + off, 0.0), *PLATE.points[1:])
        moved = Drawing(
            (LayerChain("PART", Chain(points, PLATE.bulges, True)), *drawing.chains[1:]), drawing.circles, drawing.notes
        )
        if same:
            compare("x", moved, read, "in", "r2000")
        else:
            with pytest.raises(FileMismatch, match="point 1 of contour 1"):
                compare("x", moved, read, "in", "r2000")


@settings(max_examples=25, deadline=None)
@given(
    st.lists(st.tuples(st.floats(10, 6000), st.floats(-3.0, 3.0)), min_size=3, max_size=30),
    st.sampled_from(VERSIONS),
    st.sampled_from(UNITS),
)
def test_any_chain_comes_back(rows: list[tuple[float, float]], version: DxfVersion, units: Unit) -> None:
    """Marks in every direction with bulges of any size, turned into a file and back."""
    points = tuple(
        (r * math.cos(0.9 * math.pi * k / len(rows)), r * math.sin(0.9 * math.pi * k / len(rows)))
        for k, (r, _) in enumerate(rows)
    )
    bulges = (*(b for _, b in rows[:-1]), 0.0)
    drawing = Drawing((LayerChain("STOCK", Chain(points, bulges, closed=False)),))
    data = verified_dxf("x.dxf", drawing, units, version, LAYERS)[0]
    assert read_dxf("x.dxf", data, units, "NOTE").drawing.chains[0].chain.bulges == bulges


def test_coordinates_read_as_a_person_wrote_them(tmp_path: Path) -> None:
    """7 1/4 in is 7.25 in the file, though it is 184.15 mm inside."""
    board = straight(((0.0, 0.0), (7.25 * 25.4, 0.0), (7.25 * 25.4, 25.4 / 3), (0.0, 25.4 / 3)), closed=True)
    path = tmp_path / "x.dxf"
    path.write_bytes(verified_dxf("x.dxf", Drawing((LayerChain("CUT", board),)), "in", "r2000", LAYERS)[0])
    values = [v for code, v in read_entities(path)[0] if code in (10, 20)]
    assert values == ["0.0", "0.0", "7.25", "0.0", "7.25", "0.333333333", "0.0", "0.333333333"]
    assert in_units(Drawing((LayerChain("CUT", board),)), "in").extents() == (0.0, 0.0, 7.25, 0.333333333)
