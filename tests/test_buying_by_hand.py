"""What boards cost and offcuts count for, and what is told to be bought, by arithmetic. Invented prices."""

from __future__ import annotations

from typing import Any

import pytest
from msgspec.structs import replace

from cutpath.faults import JobFaults
from cutpath.job.piece_values import LumberSize, SawSpec
from cutpath.job.values import StockBoards
from cutpath.nest.costs import all_priced, by_length, costs_of, kept_worth
from cutpath.nest.shopping import origin, shopping, stock_name
from cutpath.nest.values import Board, Keep, Layout
from cutpath.pieces.values import Concrete, Hangers
from cutpath.plan.lumber_values import Lumber, LumberSection
from cutpath.plan.stock import keep_of, with_stock
from cutpath.plan.to_buy import ToBuy, to_buy
from cutpath.stockfile.values import Stock
from tests.jobs import job_with
from tests.test_nest_shapes import board

KEEP = Keep(600.0, 0.5, 4.0)


def sheet(length: float, wide: float, **more: Any) -> StockBoards:
    return replace(board(length, wide, **more), kind="sheet")


def offcut(length: float, price: float | None = None, name: str = "A", **more: Any) -> StockBoards:
    return replace(board(length, price=price, quantity=1, **more), offcut=name, source="offcut[0]")


# What boards cost.


def test_money_counts_where_every_entry_that_is_no_offcut_has_a_price() -> None:
    assert all_priced([board(2400, price=8.0), board(3600, price=0.0), offcut(900)])
    assert not all_priced([board(2400, price=8.0), board(3600), offcut(900, 3.0)])
    # With offcuts alone it is theirs.
    assert all_priced([offcut(900, 3.0), offcut(1200, 4.0)])
    assert not all_priced([offcut(900, 3.0), offcut(1200)])


def test_a_millimetre_costs_its_share_of_the_price_or_is_counted_by_length_or_area() -> None:
    assert by_length(board(2400, price=12.0), True) == 0.005
    assert by_length(board(2400), True) == 0.0
    assert by_length(board(2400, price=12.0), False) == 1.0
    assert by_length(sheet(2440, 1220, price=61.0), True) == 0.025
    assert by_length(sheet(2440, 1220, price=61.0), False) == 1220.0


def test_boards_cost_their_price_length_or_area() -> None:
    priced = costs_of([board(2400, price=8.5), board(3600, price=12.75), offcut(900, 3.0)], None)
    assert (priced.priced, priced.each) == (True, (8.5, 12.75, 0.0))
    assert [whole * priced.unit for whole in priced.whole] == pytest.approx([8.5, 12.75, 0.0])
    # As small whole numbers as go: of 4.25 each.
    assert (priced.whole, priced.unit) == ((2, 3, 0), pytest.approx(4.25))
    plain = costs_of([board(2400, price=8.5), board(3600)], None)
    assert (plain.priced, plain.each, plain.whole) == (False, (2400.0, 3600.0), (2, 3))
    area = costs_of([sheet(2500, 1250), sheet(3000, 1500), replace(sheet(800, 1500), offcut="B")], None)
    assert (area.priced, area.each) == (False, (3_125_000.0, 4_500_000.0, 0.0))


@pytest.mark.parametrize(("length", "counts"), [(599.9, False), (600.0, True), (600.0 - 1e-7, True), (1200.0, True)])
def test_an_offcut_in_stock_costs_what_it_would_count_for_where_it_is_long_enough(length: float, counts: bool) -> None:
    """Half of its price by length; of lengths, half of its length; of a sheet's, half of its area."""
    one = offcut(length, 5.0)
    assert costs_of([board(2400, price=8.0), one], KEEP).each[1] == pytest.approx(2.5 if counts else 0.0)
    assert costs_of([board(2400), one], KEEP).each[1] == pytest.approx(length / 2 if counts else 0.0)
    of_sheet = replace(sheet(length, 1200), offcut="B")
    assert costs_of([sheet(2400, 1200), of_sheet], KEEP).each[1] == pytest.approx(600 * length if counts else 0.0)
    assert costs_of([board(2400, price=8.0), one], replace(KEEP, worth=0.0)).each[1] == 0.0


@pytest.mark.parametrize(
    ("prices", "unit"),
    [((8.0, 9.5), 1e-5), ((8.0, 10.0), 1e-5), ((8.0, 90.0), 1e-4), ((0.02, 0.05), 1e-7), ((0.0, 0.0), 1e-6)],
)
def test_with_offcuts_worth_costs_are_told_apart_to_a_millionth_of_the_dearest(
    prices: tuple[float, float], unit: float
) -> None:
    stock = [board(2400, price=prices[0]), board(3600, price=prices[1])]
    found = costs_of(stock, KEEP)
    assert found.unit == pytest.approx(unit)
    assert found.whole == tuple(round(price / unit) for price in prices)
    assert found.keep is KEEP
    # Where offcuts count for nothing, as few whole numbers as go.
    plain = costs_of(stock, replace(KEEP, worth=0.0))
    assert (plain.whole, plain.unit) == (costs_of(stock, None).whole, costs_of(stock, None).unit)


def test_with_no_entries_there_are_no_costs() -> None:
    assert costs_of([], KEEP).each == costs_of([], None).each == ()


def test_what_the_rest_of_a_board_counts_for_in_the_nest_is_what_is_counted_afterwards() -> None:
    """Of 3600 at 12 the saw takes 4; a row that ends at 2996 leaves just the 600 worth keeping, at half of 1/300."""
    stock = board(3600, price=12.0)
    costs = costs_of([stock], KEEP)
    rest = costs.left(stock)
    assert rest is not None
    assert (rest.full, rest.stop) == (3596.0, 2996.0)
    assert rest.rate * costs.unit == pytest.approx(0.5 / 300)
    for used in (1000.0, 2996.0):
        worth = (rest.full - used) * rest.rate * costs.unit
        assert kept_worth(Board(stock, (), used, 3600 - used), True, KEEP) == pytest.approx(worth)
    assert (rest.full - 2996.0) * rest.rate * costs.unit == pytest.approx(1.0)
    assert kept_worth(Board(stock, (), 2996.1, 603.9), True, KEEP) == 0.0


def test_nothing_counts_without_a_list_on_boards_with_defects_or_with_no_price_or_worth() -> None:
    plain, marred = board(3600, price=12.0), board(3600, price=12.0, defects=((100.0, 150.0),))
    assert costs_of([plain], KEEP).left(plain) is not None
    assert costs_of([marred], KEEP).left(marred) is None
    assert costs_of([plain], None).left(plain) is None
    assert costs_of([plain], replace(KEEP, worth=0.0)).left(plain) is None
    free = board(3600, price=0.0)
    assert costs_of([free], KEEP).left(free) is None
    whole = Board(plain, (), 1000.0, 2600.0)
    assert kept_worth(whole, True, KEEP) == pytest.approx(0.5 * 2596 / 300)
    assert kept_worth(whole, False, KEEP) == pytest.approx(0.5 * 2596)
    assert kept_worth(whole, True, None) == kept_worth(replace(whole, stock=marred), True, KEEP) == 0.0
    assert kept_worth(Board(sheet(2440, 1220), (), 1440.0, 1000.0), False, KEEP) == pytest.approx(0.5 * 1220 * 996)


# What to buy.


def laid(*boards: StockBoards) -> Layout:
    return Layout(tuple(Board(each, (), 0.0, 0.0) for each in boards), "money", 0.0, 0.0, 0.0, 0.5)


def told(layout: Layout) -> list[tuple[str, float, int, float | None, float | None, str]]:
    return [(p.size, p.length, p.count, p.price, p.total, p.origin) for p in shopping(layout)]


def test_boards_alike_to_a_buyer_are_one_line() -> None:
    one, other = board(2400, price=8.35), board(2400, 280.0, price=8.35)
    assert told(laid(one, board(3600, price=12.0), other, one)) == [
        ("2x12", 2400, 3, 8.35, 25.05, ""),
        ("2x12", 3600, 1, 12.0, 12.0, ""),
    ]
    others = [replace(one, size="2x10"), board(2400, price=9.0), board(2400), replace(one, source="price[1]")]
    assert [line[2] for line in told(laid(one, *others))] == [1] * 5


def test_nothing_is_paid_for_an_offcut_and_its_name_is_told() -> None:
    rack, shop = replace(board(2400, price=8.0), source="stock[3]"), replace(board(2400, price=8.0), source="price[0]")
    assert told(laid(offcut(900, 3.0, "A"), rack, shop, offcut(900, 3.0, "B"), rack)) == [
        ("2x12", 900, 1, None, None, "offcut A"),
        ("2x12", 2400, 2, 8.0, 16.0, "rack"),
        ("2x12", 2400, 1, 8.0, 8.0, "to buy"),
        ("2x12", 900, 1, None, None, "offcut B"),
    ]
    assert (origin(board(1.0)), stock_name(rack), stock_name(offcut(900))) == ("", "2x12", "2x12, offcut A")


SIZE, SAW = LumberSize("2x6", 38.0, 140.0), SawSpec(3.0, 0.0, 1.0)


def planned(layout: Layout, *sections: Layout, stairs: tuple[tuple[str, Any], ...] = (), units: str = "in") -> Any:
    """A plan of which what is bought asks for no more than what it is laid on."""

    class Job:
        pass

    class Plan:
        pass

    job, plan = Job(), Plan()
    job.units = units  # type: ignore[attr-defined]
    lumber = Lumber(tuple(LumberSection(SIZE, (), (), each, False, None) for each in sections), SAW, stairs)
    plan.job, plan.layout, plan.lumber = job, layout, lumber if sections or stairs else None  # type: ignore[attr-defined]
    return plan


def lines(found: ToBuy) -> list[tuple[str, float, int, float | None, float | None]]:
    return [(p.size, p.length, p.count, p.price, p.total) for p in found.lines]


def test_boards_and_lumber_are_bought_on_one_list() -> None:
    """Two 2x12s for the stringers and one for a tread are three of one line; 3 x 8.35 + 2 x 4.10 + 4.99 = 38.24."""
    wide, small = board(2400, price=8.35), replace(board(1800, price=4.1), size="2x6")
    found = to_buy(planned(laid(wide, wide), laid(wide, replace(wide, price=4.99)), laid(small, small)))
    assert lines(found) == [
        ("2x12", 2400, 3, 8.35, 25.05),
        ("2x12", 2400, 1, 4.99, 4.99),
        ("2x6", 1800, 2, 4.1, 8.2),
    ]
    assert (found.total, found.unpriced, found.besides) == (38.24, (), ())
    assert to_buy(planned(laid(wide, wide))).total == 16.7


def test_what_is_cut_from_the_stringers_own_offcuts_is_bought_with_those() -> None:
    wide = board(2400, price=8.35)
    rest = replace(board(700, price=0.0), source="layout[0]")
    found = to_buy(planned(laid(wide), laid(rest, wide)))
    assert (lines(found), found.total) == ([("2x12", 2400, 2, 8.35, 16.7)], 16.7)


def test_where_a_price_is_missing_there_is_no_total_but_none_is_missing_of_an_offcut() -> None:
    wide, rest, plain = board(2400, price=8.0), offcut(900, 3.0), board(1800)
    found = to_buy(planned(laid(wide, rest)))
    assert (found.total, found.unpriced) == (8.0, ())
    assert lines(found)[1] == ("2x12", 900, 1, None, None)
    found = to_buy(planned(laid(wide, rest), laid(plain, plain)))
    assert found.total is None
    assert [(line.length, line.count) for line in found.unpriced] == [(1800, 2)]


#: A foot is 304.8 mm.
CUBIC_FOOT = 304.8**3


class _Pieces:
    """Of a stair's pieces what is bought besides lumber."""

    def __init__(self, hangers: int, concrete: Concrete | None = None) -> None:
        self.hangers, self.concrete = Hangers(hangers, 38.1, 304.8, 33.33), concrete


def test_hangers_and_concrete_are_told_besides() -> None:
    bagged = Concrete(2.5 * CUBIC_FOOT, 5, 0.6 * CUBIC_FOOT, "the bag")
    found = to_buy(planned(laid(), stairs=(("Deck", _Pieces(3, bagged)),))).besides
    assert found == (
        "3 hangers at the header, for a stringer 1.5 in (1 1/2) thick, its plumb cut 12 in (1'-0\") high, sloping "
        "33.3° down from level: which to take is for their maker's tables and a licensed professional",
        "2.50 cubic feet of concrete for the pad, nothing added for waste: 5 bags of 0.6 cubic feet (the bag)",
    )
    (hangers,) = to_buy(planned(laid(), stairs=(("Deck", _Pieces(1)),), units="mm")).besides
    assert hangers.startswith("1 hanger at the header, for a stringer 38.1 mm thick")
    loose = Concrete(70e6, None, None, None)
    two = to_buy(planned(laid(), stairs=(("Deck", _Pieces(3)), ("Porch", _Pieces(2, loose))), units="mm")).besides
    assert [line.partition(" at ")[0] for line in two[:2]] == ["Deck: 3 hangers", "Porch: 2 hangers"]
    assert two[2:] == ("Porch: 70.00 litres of concrete for the pad, nothing added for waste",)


# Boards of a stock file.


def stock_of(*boards: StockBoards) -> Stock:
    return Stock("rack.toml", "in", 600.0, 0.5, boards)


def test_a_job_takes_boards_as_thick_as_its_own_and_keeps_what_it_states() -> None:
    read = job_with(stock=[{"size": "2x12", "length": 144}], cutter={"kind": "router", "width": 0.375})
    rack = replace(board(3000), source="stock[0]")
    thin = replace(rack, thickness=19.05, source="stock[1]")
    assert with_stock(read, None) == (read, None)
    found, keep = with_stock(read, stock_of(rack, thin))
    assert found.job.stock == (*read.job.stock, rack)
    assert keep == keep_of(stock_of(), read.job) == Keep(600.0, 0.5, 9.525)
    # Without boards of its own the job gets those alone; and it needs some.
    plain = replace(read, own_stock=False)
    assert with_stock(plain, stock_of(rack, thin))[0].job.stock == (rack,)
    with pytest.raises(JobFaults, match="no board as thick as"):
        with_stock(plain, stock_of(thin))


def test_other_pieces_are_cut_from_any_board_of_the_rack_but_from_no_sheet() -> None:
    read = job_with(treads={"boards": 2, "size": "2x6"})
    rack = replace(board(3000), source="stock[0]")
    thin, panel = replace(rack, thickness=19.05, source="stock[1]"), replace(sheet(2440, 1220), source="stock[2]")
    job = with_stock(read, stock_of(rack, thin, panel))[0].job
    assert job.lumber == (*read.job.lumber, rack, thin)
    plain = job_with()
    assert with_stock(plain, stock_of(rack, thin))[0].job.lumber == plain.job.lumber == ()
