"""Work told with the wood: a spring of splitting counts when its wood is sold."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from firewood_site.demo.road import load_season
from inventory.models import Expense, Lot, Movement, WorkEntry
from inventory.services.parts import take_step
from orders.models import Order
from routing.selectors.earned.worth import season, seasons_worth
from tests.factories.inventory import an_instant, make_lot
from tests.factories.orders import make_order

pytestmark = pytest.mark.django_db
MARCH, AUGUST, TODAY = date(2026, 3, 10), date(2026, 8, 20), date(2026, 9, 18)


def worked(lot: Lot | None, hours: int, on: date = MARCH, job: str = "split") -> None:
    WorkEntry.objects.create(on=on, job=job, hours_low=hours, hours_likely=hours, hours_high=hours, lot=lot)


def sold(lot: Lot, cords: Fraction | int, on: date = AUGUST, dollars: int = 300) -> None:
    Movement.objects.create(lot=lot, kind="sold", cords=-Fraction(cords), on=on, made_at=an_instant())
    Lot.objects.filter(pk=lot.pk).update(on_hand_cords=lot.on_hand_cords - Fraction(cords))
    lot.refresh_from_db()
    make_order(
        state=Order.State.DELIVERED, delivered_on=on, total_dollars=Decimal(dollars), cords=Fraction(cords)
    )


def months(**how) -> dict[int, tuple[Fraction, Decimal | None]]:
    return {row.first_on.month: (row.worth.hours, row.worth.per_hour) for row in season(TODAY, **how).months}


def test_march_is_not_charged_with_the_wood_that_august_sold():
    """3 cords, 30 hours in March; one cord sold in August for $300: by hand $30 an hour, 20 h waiting."""
    lot = make_lot(cords=3, drying_from=MARCH)
    worked(lot, 30)
    sold(lot, 1)

    assert months() == {3: (30, Decimal("0.00")), 8: (0, None)}
    assert months(is_carried=True) == {8: (10, Decimal("30.00"))}
    assert season(TODAY, is_carried=True).waiting.hours == 20


def test_wood_split_in_spring_and_sold_in_winter_pays_for_that_spring():
    """4 cords, 20 hours in April 2025; two cords sold in January 2026 for $500: by hand $50 an hour."""
    lot = make_lot(cords=4, drying_from=date(2025, 4, 10))
    worked(lot, 20, on=date(2025, 4, 10))
    make_order(state=Order.State.DELIVERED, delivered_on=date(2025, 4, 11), total_dollars=Decimal(0))
    sold(lot, 2, on=date(2026, 1, 15), dollars=500)

    def month(name, **how):
        return {r.first_on: (r.worth.hours, r.worth.per_hour) for r in season(TODAY, name, **how).months}

    april, january = date(2025, 4, 1), date(2026, 1, 1)
    assert month("2024-25")[april] == (20, Decimal("0.00"))
    assert month("2025-26")[january] == (0, None)
    assert month("2025-26", is_carried=True)[january] == (10, Decimal("50.00"))
    assert month("2024-25", is_carried=True).get(april, (0,))[0] == 0


def test_receipts_are_carried_to_the_cent_and_work_on_no_lot_stays():
    lot = make_lot(cords=3, drying_from=MARCH)
    Expense.objects.create(on=MARCH, line="splitter", dollars=Decimal("100.00"), kind="cord", lot=lot)
    worked(None, 2, job="paper")
    for day in (date(2026, 8, 1), date(2026, 8, 2), date(2026, 9, 3)):
        sold(lot, 1, on=day)

    view = season(TODAY, is_carried=True)

    assert {row.first_on.month: row.worth.cash_out for row in view.months if row.worth.cash_out} == {
        8: Decimal("66.67"), 9: Decimal("33.33"),
    }  # fmt: skip
    assert view.total.cash_out == 100
    assert view.months[0].worth.hours == 2  # March: the paper work
    assert view.waiting.cash == 0


def test_a_part_split_apart_carries_what_the_whole_heap_took():
    lot = make_lot(code="K2", cords=2, form="rounds", split_on=None, drying_from=MARCH)
    worked(lot, 8, job="rounds")
    part = Lot.objects.get(
        code=take_step(
            code="K2", step="split", cords=Fraction(1), on=date(2026, 4, 1), at=an_instant(), who="ruth"
        )
    )
    sold(part, 1)

    assert months(is_carried=True)[8][0] == 4
    assert season(TODAY, is_carried=True).waiting.hours == 4


def test_nothing_is_lost_or_doubled_between_the_two_views():
    lot, gone = make_lot(cords=3, drying_from=MARCH), make_lot(cords=1, drying_from=MARCH)
    worked(lot, 30)
    worked(gone, 5)
    Lot.objects.filter(pk=gone.pk).update(on_hand_cords=0)  # counted away: no wood to carry it
    worked(lot, 1, on=AUGUST, job="deliver")
    sold(lot, Fraction(3, 2))

    done, carried = season(TODAY), season(TODAY, is_carried=True)

    assert done.total.hours == carried.total.hours + carried.waiting.hours == 36
    assert done.total.revenue == carried.total.revenue


def test_wood_of_last_season_is_charged_to_the_season_that_sells_it():
    lot = make_lot(cords=1, drying_from=date(2025, 5, 1))
    worked(lot, 10, on=date(2025, 5, 1))
    make_order(state=Order.State.DELIVERED, delivered_on=date(2025, 5, 2), total_dollars=Decimal(50))
    sold(lot, 1)

    by_name = {row.name: row.hours for row in seasons_worth(TODAY, is_carried=True)}

    assert by_name == {"2024-25": 0, "2025-26": 10}


def test_the_number_of_queries_does_not_grow_with_the_wood(django_assert_max_num_queries):
    for _ in range(6):
        lot = make_lot(cords=3, drying_from=MARCH)
        worked(lot, 3)
        sold(lot, 1)

    with django_assert_max_num_queries(30):
        season(TODAY, is_carried=True)


def test_months_of_older_books_share_their_yard_hours_and_receipts_by_the_cord():
    """The season earns what it earned; March no longer pays alone for that splitting and its receipts."""
    load_season()

    done, carried = season(TODAY), season(TODAY, is_carried=True)
    before, march = (
        next(row.worth for row in view.months if row.first_on.month == 3) for view in (done, carried)
    )

    assert done.total.per_hour == carried.total.per_hour == Decimal("25.83")
    assert done.total.hours == carried.total.hours
    assert march.yard_hours / march.cords == done.total.yard_hours / done.total.cords
    assert done.total.cash_out == carried.total.cash_out
    assert (before.per_hour, march.per_hour) == (Decimal("0.72"), Decimal("23.82"))
