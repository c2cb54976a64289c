"""What a rule set of one's own is read as, and the line that each fault of it is told in."""

from __future__ import annotations

from pathlib import Path

import pytest

from cutpath.faults import Fault
from cutpath.rules.load import load_rules
from cutpath.rules.values import RuleSet

INCH = 25.4


def own(tmp_path: Path, text: str) -> RuleSet:
    path = tmp_path / "own.toml"
    path.write_text(text, encoding="utf-8")
    return load_rules(path)


def fault(tmp_path: Path, text: str) -> str:
    with pytest.raises(Fault) as caught:
        own(tmp_path, text)
    (line,) = caught.value.lines
    return line.removeprefix(f"stair.rules: {tmp_path / 'own.toml'}: ")


#: Lengths as written, in millimetres; None: it has no unit of its own, and would be another length to the next reader.
LENGTHS = (
    *(("7 3/4 in", 7.75 * INCH), ("190 mm", 190.0), ("19 cm", 190.0), ("0.19 m", 190.0), ('7 1/2\\"', 7.5 * INCH)),
    *(("6' 8", 80 * INCH), ("3 ft", 36 * INCH), ("0", 0.0)),
    *(("7 3/4", None), ("190", None), ("10.5", None), ("½", None), ("-7", None)),
)


@pytest.mark.parametrize("key", ["least", "most", "run_under", "height_least", "opening"])
def test_a_limit_s_length_carries_its_unit(tmp_path: Path, key: str) -> None:
    table = "guard" if key in ("opening", "height_least") else "rise"
    rest = "" if key in ("least", "most") else 'most = "9 m"\n'
    for text, length in LENGTHS:
        whole = f'[limit.{table}]\n{key} = "{text}"\n{rest}source = "s"\n'
        if length is None:
            told = fault(tmp_path, whole)
            assert told.startswith(f'limit.{table}.{key}: "{text}": write it with its unit, as in '), text
        else:
            (limit,) = own(tmp_path, whole).limits
            assert getattr(limit, key) == pytest.approx(length, abs=1e-9), text
