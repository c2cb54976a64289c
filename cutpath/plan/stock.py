"""A job with the boards of a stock file, and what its offcuts are worth then."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from cutpath.job.read import ReadJob
from cutpath.job.values import Job
from cutpath.nest.values import Keep

if TYPE_CHECKING:
    from cutpath.stockfile.values import Stock


def keep_of(stock: Stock, job: Job) -> Keep:
    """What offcuts are worth by a stock file; sawing one off takes as much as cutting does."""
    return Keep(stock.keep_over, stock.offcut_worth, job.cutter.width)


def with_stock(read: ReadJob, stock: Stock | None) -> tuple[ReadJob, Keep | None]:
    """A job with the boards that it may use, and what its offcuts are worth.

    Args:
        read: the job; boards that its file states count too.
        stock: the stock file; None: the job's own boards alone, and offcuts are worth nothing.

    Raises:
        JobFaults: the stock file has no board as thick as the job's, and the job states none of its own.
    """
    if stock is None:
        return read, None
    from cutpath.stockfile.read import boards_for

    boards = boards_for(stock, read.job.stock, stated=read.own_stock)
    job = replace(read.job, stock=boards)
    if job.lists_pieces:
        # Whatever its section: which of it the pieces are cut from is settled once they are known.
        job = replace(job, lumber=(*job.lumber, *(board for board in stock.boards if board.kind == "board")))
    return replace(read, job=job), keep_of(stock, read.job)
