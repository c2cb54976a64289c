"""What stands on printed pages, read by PDFium: a tenth of the time that a reader in Python takes."""

from __future__ import annotations

import ctypes
from dataclasses import dataclass
from typing import Any

import pytest

WHITE = (255, 255, 255)


@dataclass(frozen=True)
class Sheet:
    """One page: the text that is read on it, and how far its marks go; points, from the lower left corner."""

    text: str
    width: float
    height: float
    left: float
    right: float


def sheets(pdf: bytes) -> list[Sheet]:
    """All pages of a PDF.

    Letters of drawings are painted in white first, for a clear edge; what is white is taken off before they are read.
    """
    pdfium = pytest.importorskip("pypdfium2")
    read = pdfium.PdfDocument(pdf)
    try:
        return [_sheet(page) for page in read]
    finally:
        read.close()


def _sheet(page: Any) -> Sheet:
    from pypdfium2 import raw

    ends: list[float] = []
    colour = [ctypes.c_uint() for _ in range(4)]
    box = [ctypes.c_float() for _ in range(4)]
    # A page of drawings has thousands of letters, each a text of its own, so nothing is made of one that is only seen.
    for each in [raw.FPDFPage_GetObject(page, i) for i in range(raw.FPDFPage_CountObjects(page))]:
        kind = raw.FPDFPageObj_GetType(each)
        assert kind != raw.FPDF_PAGEOBJ_FORM, "what is within is not seen here"
        if kind not in (raw.FPDF_PAGEOBJ_PATH, raw.FPDF_PAGEOBJ_TEXT):
            continue
        assert raw.FPDFPageObj_GetBounds(each, *box)
        ends += [box[0].value, box[2].value]
        if kind == raw.FPDF_PAGEOBJ_TEXT:
            raw.FPDFPageObj_GetFillColor(each, *colour)
            if tuple(part.value for part in colour[:3]) == WHITE:
                assert raw.FPDFPage_RemoveObject(page, each)
                raw.FPDFPageObj_Destroy(each)
    text = page.get_textpage().get_text_bounded()
    return Sheet(" ".join(text.split()), *page.get_size(), min(ends), max(ends))
