r"""Any text as a TEXT entity can carry it, and back.

In TEXT, `\U+XXXX` stands for a character, `\M+` starts a multi-byte one, `%%` starts a code (`%%d` is a degree sign)
and a caret starts a control character, itself being written as caret and space (DXF reference, string values and
TEXT). All of them are data here, so none may come through as a code.
"""

from __future__ import annotations

import codecs
import re
from typing import Final

from cutpath.drawing import one_line
from cutpath.job.values import DxfVersion

#: Longest string value in bytes (DXF reference: 255 up to R14, 2049 from R2000).
LONGEST: Final[dict[DxfVersion, int]] = {"r12": 255, "r2000": 2049, "r2010": 2049, "r2013": 2049}

#: Encoding of the file by version; what the code page lacks is written as `\U+XXXX` (DXF reference, from R2007 UTF-8).
CODEC: Final[dict[DxfVersion, str]] = {"r12": "cp1252", "r2000": "cp1252", "r2010": "utf-8", "r2013": "utf-8"}

_ESCAPES: Final = re.compile(r"(?:\\U\+[0-9A-Fa-f]{4})+")
_CODES: Final = re.compile(r"\\(?=[UuMm]\+)")


def _escape(text: str) -> str:
    r"""`\U+XXXX` for each UTF-16 unit of a text; characters beyond the basic plane take two."""
    units = text.encode("utf-16-be", "surrogatepass")
    return "".join(f"\\U+{units[i]:02X}{units[i + 1]:02X}" for i in range(0, len(units), 2))


def _escape_error(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return _escape(error.object[error.start : error.end]), error.end


codecs.register_error("cutpath.dxf", _escape_error)


def encoded(text: str, version: DxfVersion) -> bytes:
    r"""A value, or a whole file, in the version's encoding; what that lacks comes out as `\U+XXXX`."""
    return text.encode(CODEC[version], "cutpath.dxf")


def unescaped(text: str) -> str:
    r"""A value of a file with its `\U+XXXX` read, and a caret with a space as a caret."""

    def read(found: re.Match[str]) -> str:
        units = bytes.fromhex(found[0].replace("\\U+", ""))
        return units.decode("utf-16-be", "replace")

    return _ESCAPES.sub(read, text).replace("^ ", "^")


def _coded(line: str) -> str:
    return _CODES.sub(lambda _: _escape("\\"), line).replace("^", "^ ")


def carried(text: str, version: DxfVersion) -> str:
    """The text that a reader gets back from a file of this version.

    Line breaks and control characters become spaces, runs of spaces one; `%%` becomes `% %`; a text too long for the
    format ends in "...".

    Args:
        text: any text.
        version: of the file.

    Raises:
        ValueError: if nothing visible is left.
    """
    line = one_line(text)
    if not line:
        raise ValueError("a note without text")

    def size(cut: str) -> int:
        return len(encoded(_coded(cut), version))

    if size(line) <= LONGEST[version]:
        return line
    few, many = 0, len(line)
    while many - few > 1:
        middle = (few + many) // 2
        if size(line[:middle] + "...") <= LONGEST[version]:
            few = middle
        else:
            many = middle
    return line[:few].rstrip() + "..."


def value_of(text: str, version: DxfVersion) -> str:
    """The value of group 1 for a text; the whole file is still to be put through `encoded`.

    Args:
        text: any text; a long one is shortened as by `carried`.
        version: of the file.

    Raises:
        ValueError: if nothing visible is left.
    """
    return _coded(carried(text, version))
