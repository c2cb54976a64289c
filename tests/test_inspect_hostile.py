"""Files that are meant to harm, or are none: one plain line, in bounded time and memory, nothing run or written."""

from __future__ import annotations

import json
import os
import re
import resource
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from xml.etree import ElementTree

import ezdxf
import pytest

from benchmarks.fuzz_seeds import DXF
from cutpath.faults import Fault
from cutpath.inspect import blocks, load, near
from cutpath.inspect import read as reading
from cutpath.inspect.read import read
from cutpath.inspect.repair.values import Allowed
from cutpath.inspect.repair.whole import repair
from cutpath.inspect.whole import inspect_seen
from cutpath.pictures.inspected import inspected_svg
from cutpath.screen import is_unseen
from tests.test_cli import call
from tests.zoo import INCH, opened, outline, substituted, text_of, written

HEAD = "  0\nSECTION\n  2\nENTITIES\n"
END = "  0\nENDSEC\n  0\nEOF\n"
LINE = "  0\nLINE\n  8\nCUT\n 10\n{}\n 20\n{}\n 11\n{}\n 21\n{}\n"


def bomb() -> bytes:
    """Blocks of ten inserts each, ten deep: ten thousand million lines."""
    doc = ezdxf.new("R2000", units=4)
    doc.blocks.new("B0").add_line((0, 0), (1, 0))
    for k in range(1, 11):
        block = doc.blocks.new(f"B{k}")
        for n in range(10):
            block.add_blockref(f"B{k - 1}", (n, 0))
    doc.modelspace().add_blockref("B10", (0, 0))
    return written(doc)


def chain_of_blocks() -> bytes:
    doc = ezdxf.new("R2000", units=4)
    doc.blocks.new("B0").add_line((0, 0), (1, 0))
    for k in range(1, 40):
        doc.blocks.new(f"B{k}").add_blockref(f"B{k - 1}", (0, 0))
    doc.modelspace().add_blockref("B39", (0, 0))
    return written(doc)


def grid() -> bytes:
    doc = ezdxf.new("R2000", units=4)
    doc.blocks.new("B").add_line((0, 0), (1, 0))
    doc.modelspace().add_blockref("B", (0, 0), dxfattribs={"row_count": 32000, "column_count": 32000, "row_spacing": 1})
    return written(doc)


#: What can't be read: bytes, and what the one line says.
REFUSED: dict[str, tuple[Callable[[], bytes], str]] = {
    "nothing": (lambda: b"", "is empty"),
    "blanks": (lambda: b" \n" * 50, "is empty"),
    "a picture": (lambda: b"\x89PNG\r\n\x1a\n" + bytes(100), "is a picture"),
    "a DWG": (lambda: b"AC1032" + bytes(200), "is a DWG file"),
    "a PDF": (lambda: b"%PDF-1.4\n", "is a PDF"),
    "an SVG": (lambda: b"<svg xmlns='http://www.w3.org/2000/svg'/>", "SVG"),
    "a packed file": (lambda: b"PK\x03\x04" + bytes(100), "packed"),
    "prose": (lambda: b"Dear shop,\nplease cut this.\n", "is no DXF file"),
    "random bytes": (lambda: bytes(range(256)) * 40, "is no DXF file"),
    "UTF-16": (lambda: text_of(INCH).encode("utf-16"), "UTF-16"),
    "a group code that is none": (
        lambda: substituted(text_of(INCH), r"( *0\nLWPOLYLINE\n *5)", r" 0\nX\nspoilt\n 5").encode(),
        "damaged",
    ),
    "too many entities": (lambda: (HEAD + (LINE.format(1, 2, 3, 4)) * 260_000 + END).encode(), "entities"),
    "too many lines": (lambda: b"  0\nSECTION\n" + b"  1\n\n" * 4_000_001, "lines"),
    "a line of megabytes": (lambda: (HEAD + "  0\nTEXT\n  1\n" + "x" * 3_000_000 + "\n" + END).encode(), "bytes long"),
    "a bomb of blocks": (bomb, "unfolds its blocks"),
    "blocks nested forty deep": (chain_of_blocks, "deep"),
    "a grid of a thousand million": (grid, "unfolds its blocks"),
}


@pytest.mark.parametrize("name", REFUSED)
def test_what_can_t_be_read_gets_one_line_and_status_2(
    name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    make, says = REFUSED[name]
    path = tmp_path / "sent.dxf"
    path.write_bytes(make())
    status, out, err = call(capsys, "inspect", str(path))
    assert (status, out) == (2, "")
    (line,) = err.splitlines()
    assert says in line and "sent.dxf" in line and line.isprintable() and len(line) < 500
    assert sorted(p.name for p in tmp_path.iterdir()) == ["sent.dxf"]


def test_larger_than_any_cut_file_is_refused_unread(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "sent.dxf"
    with path.open("wb") as file:
        file.write(HEAD.encode())
        # A hole in the file: gigabytes that take no room on the disk.
        file.truncate(6 << 30)
    status, _, err = call(capsys, "inspect", str(path))
    assert status == 2 and "MiB" in err and len(err.splitlines()) == 1


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes in the file system")
def test_no_plain_file_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    os.mkfifo(tmp_path / "pipe.dxf")
    for path, says in ((tmp_path / "pipe.dxf", "pipe"), (tmp_path, "folder"), (tmp_path / "none.dxf", "no such file")):
        status, _, err = call(capsys, "inspect", str(path))
        assert status == 2 and says in err
    with pytest.raises(load.NotReadable, match="no file's name"):
        read(Path("a\0b.dxf"))


def test_a_tangle_of_lines_is_told_and_ends(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(near, "MOST_PAIRS", 20_000)
    lines = [LINE.format(0, k, 1000, 400 - k) for k in range(400)]
    (tmp_path / "tangle.dxf").write_text(HEAD + "".join(lines) + END)
    found = inspect_seen(read(tmp_path / "tangle.dxf"))
    assert "tangled" in {f.kind for f in found.findings} and found.spoils


def test_an_entity_that_is_damaged_is_told_and_the_rest_read(tmp_path: Path) -> None:
    doc = opened(INCH)
    spline = doc.modelspace().add_open_spline([(0, 0), (1, 1), (2, 0), (3, 1)], dxfattribs={"layer": "PART"})
    spline.knots = [0.0, 1.0]
    (tmp_path / "sent.dxf").write_bytes(written(doc))
    found = inspect_seen(read(tmp_path / "sent.dxf"))
    assert found.closed == 1 and "unreadable" in {f.kind for f in found.findings}


def test_names_run_nothing_in_terminal_json_or_picture(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    doc = opened(INCH)
    evil = "CUT</text><script>alert(1)</script>"
    doc.modelspace().add_text("x", dxfattribs={"layer": "PART"})
    outline(doc).dxf.layer = "PART"
    text = written(doc).decode().replace("\nPART\n", "\nPART\x1b[31m\u202e" + evil.replace("/", "") + "\n")
    path, picture = tmp_path / "sent.dxf", tmp_path / "sent.svg"
    path.write_bytes(text.encode("utf-8", "surrogateescape"))
    status, out, err = call(capsys, "inspect", str(path), "--picture", str(picture))
    assert status in (0, 1) and "\x1b" not in out + err and "\u202e" not in out
    drawn = picture.read_text()
    assert "<script" not in drawn and "\x1b" not in drawn
    status, out, _ = call(capsys, "inspect", str(path), "--json")
    json.loads(out)
    assert "\x1b" not in out and "\u202e" not in out


@pytest.mark.slow
def test_twelve_thousand_lines_in_bounded_memory(tmp_path: Path) -> None:
    lines = [LINE.format(x, y, x + 1, y) for k in range(12_000) for x, y in [(2 * (k % 100), 2 * (k // 100))]]
    path = tmp_path / "many.dxf"
    path.write_text(HEAD + "".join(lines) + END)
    code = "import sys; from cutpath.cli.main import run; sys.exit(run(['inspect', sys.argv[1]]))"
    # Address space, of which the libraries take a third before they begin.
    limit = 1200 << 20
    done = subprocess.run(
        [sys.executable, "-c", code, str(path)],
        capture_output=True,
        text=True,
        timeout=120,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_AS, (limit, limit)),
        env={**os.environ, "OPENBLAS_NUM_THREADS": "1"},
    )
    assert done.returncode == 1 and "open-contour" in done.stdout, done.stderr[-500:]


def test_the_library_s_log_is_not_among_what_is_read(tmp_path: Path) -> None:
    """A number that is none: the library logs what it made of it, whoever has it read."""
    tags = DXF[0].decode().split("\n")
    tags[tags.index("90", tags.index("AcDbPolyline")) + 1] = "(900.0, 0.0)"
    path = tmp_path / "sent.dxf"
    path.write_text("\n".join(tags))
    code = (
        "import pathlib, sys; from cutpath.inspect.load import document_of; "
        "from cutpath.inspect.read import seen; found, flaws = document_of(pathlib.Path(sys.argv[1]).read_bytes()); "
        "assert flaws; print(len(seen('', found).items))"
    )
    done = subprocess.run([sys.executable, "-c", code, str(path)], capture_output=True, text=True, check=False)
    assert (done.returncode, done.stdout, done.stderr) == (0, "1\n", "")


def test_what_the_library_says_of_a_file_s_own_bytes_turns_no_line_round(tmp_path: Path) -> None:
    path = tmp_path / "sent.dxf"
    path.write_text("0\nSECTION\n2\nHEADER\n9\n\\U+202Egnp\n70\n4\n0\nENDSEC\n" + HEAD + END)
    with pytest.raises(load.NotReadable) as caught:
        read(path)
    assert not any(map(is_unseen, str(caught.value))) and "u202e" in str(caught.value)


def test_an_entity_of_a_name_that_is_none_is_not_lost_by_a_repair(tmp_path: Path) -> None:
    seed = DXF[-1].decode().replace("0\nCIRCLE\n", "0\n0.0098\n", 1)
    path = tmp_path / "sent.dxf"
    path.write_text(seed)
    # In a block, which is left as it is.
    assert repair(path, Allowed()).data is None
    dot = "0\nLINE\n8\nCUT\n10\n5\n20\n5\n11\n5\n21\n5\n"
    path.write_text(seed.replace("2\nENTITIES\n", "2\nENTITIES\n" + dot))
    before = [(e.kind, e.layer, e.chain) for e in read(path).items]
    data = repair(path, Allowed()).data
    assert data is not None
    path.write_bytes(data)
    assert [(e.kind, e.layer, e.chain) for e in read(path).items] == before[1:]


def test_what_can_t_be_read_once_it_is_written_anew_is_not_repaired(tmp_path: Path) -> None:
    # Of a version that is none, with an entity of a name that is none.
    line = "0\nLINE\n8\nCUT\n10\n0\n20\n0\n11\n0\n21\n0\n"
    text = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nNOTES\n9\n$INSUNITS\n70\n4\n0\nENDSEC\n" + HEAD + line
    path = tmp_path / "sent.dxf"
    path.write_text(text + line.replace("LINE", "LINACDBENTITY") + END)
    with pytest.raises(Fault, match="would be damaged"):
        repair(path, Allowed())


def test_an_insert_of_no_name_is_told_and_not_lost_by_a_repair(tmp_path: Path) -> None:
    path = tmp_path / "sent.dxf"
    path.write_text(DXF[-1].decode().replace("AcDbBlockReference\n2\nB\n", "AcDbBlockReference\n", 1))
    nameless = next(e for e in read(path).items if e.kind == "INSERT")
    assert "which is nowhere" in nameless.traits[0].detail
    data = repair(path, Allowed()).data
    assert data is not None
    path.write_bytes(data)
    (left,) = [e for e in read(path).items if e.kind == "INSERT"]
    assert (left.layer, left.at, left.traits) == (nameless.layer, nameless.at, nameless.traits)


def test_an_arc_that_ends_where_it_starts_is_told_and_drawn(tmp_path: Path) -> None:
    doc = opened(INCH)
    line = outline(doc)
    (x, y, bulge), *rest = line.get_points("xyb")
    line.set_points([(x, y, 0.5), (x, y, bulge), *rest], format="xyb")
    path = tmp_path / "sent.dxf"
    path.write_bytes(written(doc))
    found = inspect_seen(read(path))
    assert {f.kind for f in found.findings} == {"zero-length"} and found.closed == 1
    assert inspected_svg(found).startswith("<svg")


@pytest.mark.parametrize("far", [1e308, -1e308, 1e200, 1e15])
def test_what_lies_further_out_than_numbers_tell_is_named_and_marked_nowhere(far: float, tmp_path: Path) -> None:
    doc = opened(INCH)
    work = doc.modelspace()
    outline(doc)
    doc.blocks.new("B").add_line((0, 0), (1, 0))
    on = {"layer": "CUT"}
    work.add_blockref("B", (far, 10), on)
    work.add_text("x", dxfattribs=on).dxf.insert = (far, 10)
    work.add_point((far, far), on)
    work.add_mtext("x", on).dxf.insert = (far, far)
    work.add_3dface([(far, 0), (0, far), (far, far)], on)
    doc.layout("Layout1").add_line((far, 0), (far, far), on)
    path = tmp_path / "sent.dxf"
    path.write_bytes(written(doc))
    found = inspect_seen(read(path))
    assert {"block", "text", "not-finite"} <= {f.kind for f in found.findings}
    drawn = inspected_svg(found)
    ElementTree.fromstring(drawn)
    # Numbers of the drawing, not of its words.
    assert not re.search(r'="[^"]*(inf|nan|e\+|\d{9})', drawn)


@pytest.mark.parametrize("many", [1, 3])
@pytest.mark.parametrize(
    "figure", [LINE.format(3, 4, 3, 4), "  0\nCIRCLE\n  8\nCUT\n 10\n3\n 20\n4\n 40\n0.00000001\n"]
)
def test_what_has_no_length_is_told_where_there_is_nothing_else(figure: str, many: int, tmp_path: Path) -> None:
    path = tmp_path / "sent.dxf"
    path.write_text(HEAD + figure * many + END)
    assert "zero-length" in {f.kind for f in inspect_seen(read(path)).findings}


def test_curves_of_more_vertices_than_any_cut_file_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(blocks, "MOST_VERTICES", 2000)
    doc = opened(INCH)
    doc.blocks.new("B").add_ellipse((0, 0), (100, 0), 0.3)
    path = tmp_path / "sent.dxf"
    for rows, columns in ((1, 1), (200, 100)):
        doc.modelspace().add_blockref("B", (0, 0), {"row_count": rows, "column_count": columns, "row_spacing": 300})
        path.write_bytes(written(doc))
        if rows == 1:
            assert read(path).items
    with pytest.raises(load.NotReadable, match="over 2,000 vertices"):
        read(path)
    doc = opened(INCH)
    doc.modelspace().add_lwpolyline([(k % 7, k) for k in range(2001)])
    path.write_bytes(written(doc))
    with pytest.raises(load.NotReadable, match="over 2,000 vertices"):
        read(path)


def test_arcs_of_more_chords_than_any_cut_file_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "sent.dxf"
    doc = ezdxf.new("R2000", units=4)
    block = doc.blocks.new("B")
    # Half a circle of 13 m takes some five hundred coarse chords, of 3 mm eight.
    for k in range(100):
        block.add_circle((0, 7 * k), 13_000, dxfattribs={"layer": "CUT"})
    insert = doc.modelspace().add_blockref("B", (0, 0), dxfattribs={"row_count": 80, "row_spacing": 900})
    path.write_bytes(written(doc))
    with pytest.raises(load.NotReadable, match="over 6,000,000 chords: see that its unit is right"):
        read(path)
    insert.dxf.xscale = insert.dxf.yscale = 3 / 13_000
    path.write_bytes(written(doc))
    assert len(read(path).items) >= 8000


@pytest.mark.parametrize("version", ["AC1006", "AC1012", "AC1014", "AC101\x125", "AC9999", "none", ""])
def test_a_version_that_is_none_is_mended_or_refused(version: str, tmp_path: Path) -> None:
    """Lines and an arc with a gap to close, so that there is something to be drawn anew."""
    path = tmp_path / "sent.dxf"
    path.write_bytes(DXF[1].replace(b"AC1015", version.encode()))
    try:
        repaired = repair(path, Allowed(gap=0.1))
    except Fault as why:
        assert str(path) in str(why) and not any(map(is_unseen, str(why)))
        return
    assert repaired.data is not None
    mended = tmp_path / "mended.dxf"
    mended.write_bytes(repaired.data)
    assert {item.kind for item in read(mended).items if item.chain is not None} <= {"LWPOLYLINE", "POLYLINE"}


def test_fuzzing_starts_from_files_that_are_read(tmp_path: Path) -> None:
    path = tmp_path / "seed.dxf"
    for seed in DXF:
        path.write_bytes(seed)
        assert read(path).items and not read(path).flaws


def test_bounds_are_what_the_docs_say() -> None:
    text = (Path(__file__).parent.parent / "docs" / "inspecting.md").read_text(encoding="utf-8")
    for bound in (
        f"{load.MOST_BYTES >> 20} MiB",
        f"{load.MOST_ENTITIES:,} entities",
        f"{load.MOST_LINES:,} lines",
        f"{blocks.MOST_VERTICES:,} vertices",
        f"{reading.MOST_CHORDS:,} chords",
    ):
        assert bound in text
