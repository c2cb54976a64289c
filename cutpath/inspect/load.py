"""A DXF file into ezdxf's document, within bounds of size: whatever it is, there is a document or one plain line.

ezdxf is loaded here and where files are written, nowhere else.
"""

from __future__ import annotations

import io
import logging
import re
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Final, NoReturn

from cutpath.faults import Fault
from cutpath.screen import clean

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

#: A cut file is some kilobytes, one flattened into short lines some megabytes. A quarter of a million plain
#: lines take 20 s of processor time and 0.7 GB of memory in all (measured at 248,000); beyond that a file is refused
#: before it is parsed.
MOST_BYTES: Final = 64 << 20
MOST_LINES: Final = 8_000_000
MOST_ENTITIES: Final = 250_000
#: A name, a text, a number: a line of a DXF is short (DXF reference: 2049 bytes); ones of megabytes are no drawing's.
LONGEST_LINE: Final = 1 << 16

# Keeps the library's log off standard error, whoever reads, mends or writes; what matters of it is told as a finding.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())

_START: Final = re.compile(
    rb"\A(?:\xef\xbb\xbf)?(?:\s*999[ \t]*\r?\n[^\n]*\n)*\s*0[ \t]*\r?\n[ \t]*SECTION", re.IGNORECASE
)
_ENTITY: Final = re.compile(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*[A-Za-z]")
_END: Final = re.compile(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*EOF\s*\Z")
#: How a binary DXF begins.
BINARY: Final = b"AutoCAD Binary DXF\r\n\x1a\x00"
#: What other files begin with, so that a mix-up is named (memory).
_OTHERS: Final = (
    (b"AC10", "a DWG file: save it as DXF"),
    (b"%PDF", "a PDF: ask for the DXF that it was made from"),
    (b"PK\x03\x04", "a packed file: unpack it first"),
    (b"<?xml", "an XML or SVG file: ask for the DXF"),
    (b"<svg", "an SVG file: ask for the DXF"),
    (b"\x89PNG", "a picture: ask for the DXF"),
    (b"\xff\xd8\xff", "a picture: ask for the DXF"),
    (b"solid ", "an STL file: ask for the DXF"),
)


class NotReadable(Fault):
    """The file is no DXF that can be read; nothing is known of what it holds."""


def load(path: Path) -> tuple[Document, tuple[str, ...]]:
    """Read a file.

    Args:
        path: where it is.

    Returns:
        The document, and what had to be mended to read it, in words; none where it was sound.

    Raises:
        NotReadable: it can't be read, is no DXF, is beyond the bounds, or is damaged beyond mending.
    """
    data = bounded_bytes(path)
    try:
        document, flaws = document_of(data)
        for name in ("$INSUNITS", "$MEASUREMENT"):
            # The library puts in what a header lacks; nobody stated that.
            if name.encode() not in data:
                document.header.hdrvars.pop(name, None)
        return document, flaws
    except NotReadable:
        raise
    except RecursionError:
        _refuse(path, "is nested too deeply for a drawing")
    except MemoryError:
        _refuse(path, "takes more memory than there is")
    except Exception as why:
        # Whatever a damaged file makes the library do, the file is what can't be read.
        _refuse(path, f"is damaged beyond reading ({_said(str(why)) or type(why).__name__}): have it saved anew")


def bounded_bytes(path: Path) -> bytes:
    """The bytes of a file that may be a DXF.

    Raises:
        NotReadable: it can't be read, is none, or is larger than any file that is looked at.
    """
    try:
        mode = path.stat().st_mode
        if stat.S_ISDIR(mode):
            _refuse(path, "is a folder: name a DXF file in it")
        if not stat.S_ISREG(mode):
            # Reading a pipe that nobody writes to would never end.
            _refuse(path, "is a pipe or a device: give a DXF file")
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        _refuse(path, "no such file: check the path")
    except OSError as why:
        _refuse(path, f"can't be read: {(why.strerror or 'the system gave no reason').lower()}")
    except ValueError:
        raise NotReadable(f"{str(path)!a}: is no file's name") from None
    if len(data) > MOST_BYTES:
        _refuse(path, f"is over {MOST_BYTES >> 20} MiB, which no cut file is: purge it, or split it")
    _look(path, data)
    return data


def _look(path: Path, data: bytes) -> None:
    """Refuse by its bytes what is no DXF, or too much of one."""
    if not data.strip():
        _refuse(path, "is empty: have it saved anew")
    if data.startswith(BINARY):
        # Its tags take two bytes and more each.
        if len(data) > MOST_BYTES // 4:
            _refuse(path, f"is a binary DXF over {MOST_BYTES >> 22} MiB: save it as text, purged")
        return
    for magic, what in _OTHERS:
        if data.startswith(magic):
            _refuse(path, f"is {what}")
    if not _START.match(data):
        if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
            _refuse(path, "is UTF-16 text, which no DXF is: save it as ASCII DXF")
        _refuse(path, "is no DXF file: it does not begin with a section")
    lines = data.count(b"\n")
    if lines > MOST_LINES:
        _refuse(path, f"has over {MOST_LINES:,} lines, which no cut file has: purge it, or split it")
    count = sum(1 for _ in _ENTITY.finditer(data))
    if count > MOST_ENTITIES:
        _refuse(path, f"holds over {MOST_ENTITIES:,} entities, which no cut file does: purge it, or split it")
    start = 0
    while len(data) - start > LONGEST_LINE:
        end = data.rfind(b"\n", start, start + LONGEST_LINE + 1)
        if end < 0:
            line = data.count(b"\n", 0, start) + 1
            _refuse(path, f"line {line} is over {LONGEST_LINE:,} bytes long, which none of a drawing is")
        start = end + 1


def document_of(data: bytes) -> tuple[Document, tuple[str, ...]]:
    """The document that bytes hold, and what had to be mended to read it."""
    from ezdxf import recover
    from ezdxf.document import Drawing as Document
    from ezdxf.filemanagement import dxf_stream_info
    from ezdxf.lldxf.const import DXFError
    from ezdxf.lldxf.tagger import binary_tags_loader

    flaws: list[str] = []
    if not data.startswith(BINARY) and not _END.search(data[-200:]):
        flaws.append("it breaks off before its end")
    try:
        if data.startswith(BINARY):
            return Document.load(binary_tags_loader(data, errors="surrogateescape")), ()
        info = dxf_stream_info(io.StringIO(data[: 1 << 16].decode("latin-1")))
        text = data.decode(info.encoding, "surrogateescape")
        if info.version >= "AC1021" and _has_escapes(text):
            flaws.append("text in another encoding than the file states")
        return Document.read(io.StringIO(text.replace("\r\n", "\n"))), tuple(flaws)
    except (DXFError, ValueError, KeyError, IndexError, AttributeError, TypeError) as why:
        flaws.append(_said(str(why)) or type(why).__name__)
    document, auditor = recover.read(io.BytesIO(data))
    flaws += [_said(error.message) for error in (*auditor.errors, *auditor.fixes)[:20]]
    return document, tuple(flaws)


def _said(words: str) -> str:
    """What the library says, of a file's own bytes perhaps, as one short line."""
    return clean(" ".join(words.split())[:160])


def _has_escapes(text: str) -> bool:
    """Whether bytes were met that the encoding does not know."""
    return not text.isascii() and any("\udc80" <= c <= "\udcff" for c in text)


def _refuse(path: Path, fault: str) -> NoReturn:
    raise NotReadable(f"{path}: {fault}")
