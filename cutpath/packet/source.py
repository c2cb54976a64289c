"""What a packet's pages are written from."""

from __future__ import annotations

from collections.abc import Mapping

from msgspec import Struct

from cutpath.json_text import Json
from cutpath.packet.html import Lengths
from cutpath.plan.values import Plan


class Source(Struct, frozen=True):
    """What the pages are written from.

    Attributes:
        plan: what was computed, for words and names.
        result: what `result.json` holds, lengths in the job's unit: every figure comes from here.
        files: the bytes of the files it lists, by path.
        lengths: writes the result's lengths.
        pictures: the folder of the job's own drawings.
    """

    plan: Plan
    result: Json
    files: Mapping[str, bytes]
    lengths: Lengths
    pictures: str = "pictures"

    @property
    def hashes(self) -> dict[str, str]:
        """SHA-256 by path."""
        return {entry["path"]: entry["sha256"] for entry in self.result["files"]}

    def svg(self, path: str) -> str | None:
        """A drawing's text; None where it was not made."""
        data = self.files.get(path)
        return None if data is None else data.decode()

    @property
    def failing(self) -> list[Json]:
        """The required checks that do not hold."""
        return [check for check in self.result["checks"] if check["required"] and not check["ok"]]


def set_up_lists(result: Json) -> list[Json]:
    """The set-up lists of the boards that are longer than the bed; empty where all fit it."""
    found: list[Json] = (result["shop"] or {}).get("set_ups") or []
    return found


def board_key(file: str) -> str:
    """A board's name in links and data: `boards/01.dxf` is `board-01`."""
    return "board-" + file.removeprefix("boards/").removesuffix(".dxf")


def board_keys(result: Json) -> list[str]:
    """The keys of all boards, in their order."""
    return [board_key(board["file"]) for board in result["nest"]["boards"]]
