"""A heap's verdict: the best way, the next, and when the two can't be told apart."""

from datetime import date
from decimal import Decimal

from routing.earned.guesses import Guess
from routing.earned.heaps import HeapSoFar, Way, heap_verdict

HEAP = HeapSoFar(cords=Guess.known("cords", 3), hours=())
APRIL = date(2027, 4, 29)


def way(key: str, *, hours: int = 11, likely: date = APRIL) -> Way:
    return Way(
        key=key, text=key, hours=(Guess.known("splitting", hours),), price=Guess.known("price", 218),
        likely=likely, sold_as="dry",
    )  # fmt: skip


def test_the_same_work_dry_in_the_same_week_is_a_tie_and_no_best():
    """Splitting in spring was "Best", splitting now was not: the same hours, the same money, three days."""
    said = heap_verdict(HEAP, [way("leave"), way("split", likely=date(2027, 5, 2))], target_wage=Decimal(25))

    assert said.runner is not None
    assert {said.best.way.key, said.runner.way.key} == {"leave", "split"}
    assert said.is_close


def test_more_work_for_the_same_wood_or_a_later_month_is_no_rival():
    said = heap_verdict(
        HEAP,
        [way("leave"), way("haul", hours=12), way("later", likely=date(2027, 7, 1))],
        target_wage=Decimal(25),
    )

    assert said.best.way.key == "leave"
    assert said.runner is None
