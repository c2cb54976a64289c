"""Reading a stock file: all faults at once, each with its key."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

from msgspec.structs import replace

from cutpath.faults import JobFaults
from cutpath.job.between import board_faults, grain_faults
from cutpath.job.build import boards_of
from cutpath.job.compound import fill
from cutpath.job.kinds import BAD, Context
from cutpath.job.read import context_of, told
from cutpath.job.values import StockBoards
from cutpath.stockfile.keys import STOCK_FILE
from cutpath.stockfile.values import Left, Stock, Taken, Took
from cutpath.tolerances import ONE_THICKNESS
from cutpath.tomlfile.read import parsed, text_of
from cutpath.units import Unit, quoted


def read_stock(path: Path) -> Stock:
    """Read a stock file.

    Args:
        path: where it is.

    Raises:
        JobFaults: with every fault found, each naming its key, what was given and what is accepted.
    """
    text = text_of(path, "stock")
    return replace(stock_of(parsed(text, str(path), "stock"), str(path)), digest=digest_of(text), text=text)


def digest_of(text: str) -> str:
    """SHA-256 of a file's text."""
    return hashlib.sha256(text.encode()).hexdigest()


def stock_of(raw: dict[str, Any], source: str) -> Stock:
    """A stock file's values from the data of a TOML text.

    Args:
        raw: tables, arrays and values, as tomllib gives them.
        source: the file's name, for messages.

    Raises:
        JobFaults: as `read_stock`.
    """
    ctx = context_of(raw)
    values = STOCK_FILE.read(raw, "", ctx)
    fill(STOCK_FILE, values, ctx.unit)
    for table in ("stock", "offcut", "price"):
        for index, entry in enumerate(values[table] if isinstance(values[table], list) else ()):
            if entry is BAD:
                continue
            grain_faults(entry, f"{table}[{index}]", ctx)
            if table != "price":
                board_faults(entry, f"{table}[{index}]", ctx)
    if isinstance(values["offcut"], list):
        _names(values["offcut"], "offcut", "name", "give each its own, or write a quantity", ctx)
    if isinstance(values["taken"], list):
        _names(values["taken"], "taken", "folder", "keep the later one", ctx)
    if ctx.faults or ctx.unknown:
        raise JobFaults(source, *told(ctx, STOCK_FILE))
    boards: list[StockBoards] = []
    for index, entry in enumerate(values["stock"]):
        boards.append(replace(boards_of(entry, ctx.unit), source=f"stock[{index}]"))
    for index, entry in enumerate(values["offcut"]):
        boards.append(replace(boards_of(entry, ctx.unit), offcut=entry["name"], source=f"offcut[{index}]"))
    for index, entry in enumerate(values["price"]):
        whole = {**entry, "quantity": None, "widths": None, "defects": []}
        boards.append(replace(boards_of(whole, ctx.unit), source=f"price[{index}]"))
    taken = tuple(
        _taken(entry, spelt, ctx.unit) for entry, spelt in zip(values["taken"], raw.get("taken", ()), strict=True)
    )
    return Stock(source, ctx.unit, float(values["keep_over"]), values["offcut_worth"], tuple(boards), taken)


def _names(entries: list[Any], table: str, key: str, way_out: str, ctx: Context) -> None:
    """Note entries that are called alike."""
    first: dict[str, int] = {}
    for index, entry in enumerate(entries):
        if entry is BAD or entry[key] is BAD:
            continue
        other = first.setdefault(entry[key], index)
        if other != index:
            ctx.bad(
                f"{table}[{index}].{key}",
                f"{quoted(entry[key])} is the {key} of {table}[{other}] too: {way_out}",
            )


def _taken(entry: dict[str, Any], spelt: dict[str, Any], unit: Unit) -> Taken:
    return Taken(
        entry["folder"],
        tuple(entry["jobs"]),
        tuple(
            _took(took, plain, unit)
            for table in ("boards", "offcuts")
            for took, plain in zip(entry[table], spelt.get(table, ()), strict=True)
        ),
        tuple(Left(left["name"], float(left["length"])) for left in entry["added"]),
    )


def _took(entry: dict[str, Any], spelt: dict[str, Any], unit: Unit) -> Took:
    board = replace(boards_of({**entry, "quantity": None}, unit), offcut=entry.get("name", ""))
    own = {key: value for key, value in spelt.items() if key not in ("at", "took", "left", "as_written")}
    return Took(board, entry["took"], entry["at"], entry["left"], own, tuple(entry.get("as_written") or ()))


def boards_for(stock: Stock, own: tuple[StockBoards, ...], *, stated: bool) -> tuple[StockBoards, ...]:
    """The boards that a job may use.

    Args:
        stock: the stock file.
        own: the job's `[[stock]]`.
        stated: whether the job's file states them; the default list of a yard's lengths is not added to a stock file.

    Returns:
        The job's own boards or sheets, if stated, and those of the stock file that are like one of the job's: as thick,
        and boards, or sheets of the same grain.

    Raises:
        JobFaults: the stock file has no board like that.
    """

    def like(board: StockBoards, mine: StockBoards) -> bool:
        same = (board.kind, board.grain) == (mine.kind, mine.grain)
        return same and abs(board.thickness - mine.thickness) < ONE_THICKNESS

    fit = tuple(board for board in stock.boards if any(like(board, mine) for mine in own))
    if not fit and not stated:
        sizes = sorted({board.size for board in own})
        raise JobFaults(
            stock.source,
            f"has no board as thick as {' or '.join(sizes)}: add some, or state the job's boards under [[stock]]",
        )
    return (*own, *fit) if stated else fit
