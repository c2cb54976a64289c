"""What the file format says of versions, units, extents, dates and texts.

Source: the DXF reference: header variables ($ACADVER, $INSUNITS, $MEASUREMENT, $EXTMIN, $EXTMAX), string values,
special handling of dates.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from msgspec.structs import replace

from cutpath.drawing import Note
from cutpath.dxf.read_back import verified_dxf
from cutpath.job.values import DxfVersion
from cutpath.units import Unit
from tests.dxf_sample import LAYERS, PER, PLATE_BOX, VERSIONS, every_file, sample
from tests.other_reader import read_entities, read_header


@every_file
def test_header_states_version_unit_and_true_extents(written: Path, version: DxfVersion, units: Unit) -> None:
    """Codes of the DXF reference: AC1009 R12, AC1015 R2000, AC1024 R2010, AC1027 R2013; unit 1 inch, 4 millimetre."""
    header = read_header(written)
    assert header["$ACADVER"] == [{"r12": "AC1009", "r2000": "AC1015", "r2010": "AC1024", "r2013": "AC1027"}[version]]
    if version == "r12":
        assert "$INSUNITS" not in header
        assert "$MEASUREMENT" not in header
    else:
        assert header["$INSUNITS"] == [{"in": "1", "mm": "4"}[units]]
        assert header["$MEASUREMENT"] == [{"in": "0", "mm": "1"}[units]]
    box = [float(v) * PER[units] for v in header["$EXTMIN"][:2] + header["$EXTMAX"][:2]]
    assert box[:3] == pytest.approx(PLATE_BOX[:3], abs=1e-6)
    # The topmost note's capitals, from its base line up: group 20 of a TEXT is the base line, 40 the height.
    first = next(dict(e) for e in read_entities(written) if e[0][1] == "TEXT")
    assert box[3] == pytest.approx((float(first[20]) + float(first[40])) * PER[units], abs=1e-6)


@pytest.mark.parametrize(("version", "longest"), [("r12", 255), ("r2000", 2049), ("r2010", 2049)])
def test_a_text_longer_than_the_format_takes_is_cut(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, version: DxfVersion, longest: int
) -> None:
    """Longest string value: 255 bytes, from R2000 2049 (DXF reference)."""
    # A single line as long as that is more than a drawing's notes can be and still be read.
    monkeypatch.setattr("cutpath.dxf.write.audit", lambda *_: None)
    path = tmp_path / "x.dxf"
    for text in ("m" * longest, "m" * (longest + 1), "\U0001f642" * longest):
        long = replace(sample(), notes=(Note(text, (0.0, 200.0), 2.0),))
        path.write_bytes(verified_dxf("x.dxf", long, "mm", version, LAYERS)[0])
        value = next(v for e in read_entities(path) if e[0][1] == "TEXT" for c, v in e if c == 1)
        assert len(value) <= longest
        assert longest - len(value) < 16, "no more is cut than must be"
        assert value.endswith("...") == (text != "m" * longest)
        assert re.fullmatch(r"m+(\.\.\.)?|(\\U\+D83D\\U\+DE42)+\.\.\.|(\xf0\x9f\x99\x82)+\.\.\.", value), "no half"


def test_no_file_says_when_it_was_made(tmp_path: Path) -> None:
    """The header's dates are the same one of long ago, and its identity is all noughts."""
    path = tmp_path / "x.dxf"
    for version in VERSIONS[1:]:
        path.write_bytes(verified_dxf("x.dxf", sample(), "mm", version, LAYERS)[0])
        header = read_header(path)
        dates = {float(header[name][0]) for name in ("$TDCREATE", "$TDUPDATE") if name in header}
        # Days are counted from midnight: 2451544.91568287 is 31 December 1999, 9:58:35 pm (DXF reference, memory).
        assert dates == {2451545.0}, "the first midnight of the year 2000"
        assert set(re.sub("[^0-9A-F]", "", header["$FINGERPRINTGUID"][0])) == set("0"), header["$FINGERPRINTGUID"]
