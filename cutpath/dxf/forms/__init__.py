"""The forms of a DXF file, made by ezdxf and filled in with a drawing's numbers.

A form is what the library writes for a document, a layer, a circle, a polyline or a line of text, with names in braces
where values go. `python -m tests.renew_dxf_forms` makes them, and a test holds filled files against the library's own,
byte for byte. So the library's knowledge of the format is used without starting it, which takes as long as all else
that an export does; and a job gives the same bytes whichever version of it is installed.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Final

from cutpath.job.values import DxfVersion

FOLDER: Final = Path(__file__).parent
#: Starts the line before each form, in front of its name.
HEADING: Final = "=== "


@dataclass(frozen=True, slots=True)
class Forms:
    """The forms of one DXF version, for `str.format`.

    Attributes:
        first: the first handle that is free.
        late: how many handles are given out after the last entity's, to things that the library adds as it writes.
        file: a whole document, but for layers of ours and entities.
        layer: a layer's record.
        circle: a CIRCLE.
        polyline: an LWPOLYLINE up to its vertices; in R12 a POLYLINE.
        straight: one of its vertices that goes straight on.
        bulged: one with a bulge.
        end: in R12 the SEQEND; else empty.
        text: a TEXT.
    """

    first: int
    late: int
    file: str
    layer: str
    circle: str
    polyline: str
    straight: str
    bulged: str
    end: str
    text: str


@cache
def forms_of(version: DxfVersion) -> Forms:
    """The forms of a DXF version."""
    parts = (FOLDER / f"{version}.txt").read_text(encoding="ascii").split(HEADING)[1:]
    found = dict(part.split("\n", 1) for part in parts)
    first, late = found.pop("handles").split()
    return Forms(int(first, 16), int(late), **found)
