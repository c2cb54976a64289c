"""Notes in cut files can be read, and say how deep the work goes; files as ezdxf and its own text measure see them."""

from __future__ import annotations

import io
import itertools
import json
import re
from functools import lru_cache
from typing import Any

import ezdxf
import pytest
from ezdxf import bbox

from tests.jobs import FIXTURES, export_of, job_with

DEMOS = sorted(path.stem for path in FIXTURES.glob("*.toml"))
#: A board of sixteen feet in set-ups on a bed of eight; a housed string in set-ups; a narrow, tall sheet.
VARIANTS: dict[str, tuple[str, dict[str, Any]]] = {
    "sixteen feet": ("boat-landing", {"machine": {"bed": [96, 48]}}),
    "housed, set-ups": ("closed-string", {"machine": {"bed": [1500, 800]}}),
    "tabs, set-ups": ("orchard-steps", {"machine": {"bed": [60, 60]}, "tabs": {"count": 3}}),
}


@pytest.fixture(scope="module", params=[*DEMOS, *VARIANTS])
def files(request: pytest.FixtureRequest) -> tuple[str, dict[str, bytes]]:
    base, changes = VARIANTS.get(request.param, (request.param, {}))
    read = job_with(base, **changes)
    made = export_of(read).files
    return request.param, {path: data for path, data in made.items() if path.endswith(".dxf")}


@lru_cache(maxsize=40)
def loaded(data: bytes) -> ezdxf.document.Drawing:
    text = data.decode("utf-8") if b"AC1024" in data or b"AC1027" in data else data.decode("cp1252")
    return ezdxf.read(io.StringIO(text))


@pytest.mark.slow
def test_notes_are_one_block_beside_the_work_and_large_enough(files: tuple[str, dict[str, bytes]]) -> None:
    for path, data in files[1].items():
        document = loaded(data)
        model = document.modelspace()
        texts = list(model.query("TEXT"))
        work = bbox.extents((e for e in model if e.dxftype() != "TEXT"), fast=False)
        whole = ezdxf.math.BoundingBox([*work, *bbox.extents(texts, fast=False)])
        longer = max(whole.size.x, whole.size.y)
        assert len(texts) >= 3, path
        heights = {round(t.dxf.height, 9) for t in texts}
        assert len(heights) == 1 and min(heights) >= longer / 100, path
        assert {t.dxf.insert.x for t in texts} == {texts[0].dxf.insert.x}
        downs = [a.dxf.insert.y - b.dxf.insert.y for a, b in itertools.pairwise(texts)]
        assert all(1.2 * max(heights) < d < 2 * max(heights) for d in downs), f"{path}: one block, from the top down"
        for text in texts:
            assert text.dxf.insert.y > work.extmax.y, f"{path}: {text.dxf.text}"
        # What the header says is what is there, to the left, right and below exactly; on top a capital's height.
        low, high = document.header["$EXTMIN"], document.header["$EXTMAX"]
        assert low[:2] == pytest.approx((whole.extmin.x, work.extmin.y), abs=1e-6)
        assert high[0] == pytest.approx(work.extmax.x, abs=1e-6) and whole.extmax.x <= high[0] + 1e-6
        assert high[1] == pytest.approx(texts[0].dxf.insert.y + texts[0].dxf.height, abs=1e-6)


@pytest.mark.slow
def test_every_file_says_how_thick_and_how_deep(files: tuple[str, dict[str, bytes]]) -> None:
    seen = 0
    for path, data in files[1].items():
        model = loaded(data).modelspace()
        said = " ".join(t.dxf.text for t in model.query("TEXT"))
        if not path.startswith("trial/"):
            assert " thick; cuts and holes go through it." in said, path
        pockets = [e for e in model if e.dxf.layer == "POCKET"]
        assert bool(pockets) == ("deep, face up" in said), path
        seen += bool(pockets)
    assert bool(seen) == (files[0] in ("closed-string", "housed, set-ups"))


@pytest.mark.slow
def test_a_set_up_of_a_long_board_says_all_that_is_done_there() -> None:
    base, changes = VARIANTS["sixteen feet"]
    read = job_with(base, **changes)
    made = export_of(read).files
    ups = [path for path in made if "-setup-2.dxf" in path]
    assert ups
    for path in ups:
        said = " ".join(t.dxf.text for t in loaded(made[path]).modelspace().query("TEXT"))
        for words in ("Slide it", "against the stop", "compensate", "Units: inches", "Stock 1.5 in"):
            assert words in said, (path, words)


@pytest.mark.slow
@pytest.mark.parametrize("path", ["design", "centre"])
def test_tabs_are_counted_alike_in_note_result_and_packet(path: str) -> None:
    read = job_with(cutter={"path": path}, tabs={"count": 3, "waste": "tabbed"})
    made = export_of(read).files
    boards = json.loads(made["result.json"])["shop"]["boards"]
    packet = re.sub(r"<[^>]+>", "", made["packet.html"].decode())
    for i, board in enumerate(boards, 1):
        said = " ".join(t.dxf.text for t in loaded(made[board["file"]]).modelspace().query("TEXT"))
        told = [int(n) for n in re.findall(r"(\d+) tabs? [\d.]+ in ", said)]
        assert told == [board["tabs"]] and board["tabs"] > 3
        assert f"{board['tabs']} on board {i}" in packet
