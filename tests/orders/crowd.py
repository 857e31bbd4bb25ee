"""Fifty people at once: each asks for wood twice by a double tap, and the seller confirms them all.

Run as a program it needs a database file of its own: a memory database answers no lock questions.
"""

import json
import sys
from concurrent.futures import ThreadPoolExecutor
from datetime import date
from fractions import Fraction
from uuid import UUID, uuid4

PEOPLE = 50
THIRDS_OF_A_CORD = 18


def crowd() -> dict[str, int]:
    """Let them all at it; how many orders, holds and refusals came of it."""
    from django.db import connections

    from inventory.models import Business, Hold
    from inventory.services.holds import NotEnoughOpen
    from orders.models import Order
    from orders.services.orders import Picked, confirm_order
    from orders.services.placing import place_order
    from tests.factories.inventory import an_instant, make_lot
    from tests.factories.orders import make_sheet
    from tests.orders.services.test_asking import saved, two_thirds_stacked

    Business.objects.create(name="Crowd", request_hours=0)  # more is asked for than there is
    make_sheet()
    lot = make_lot(code="K1", cords=Fraction(THIRDS_OF_A_CORD, 3))
    tokens = [
        saved(two_thirds_stacked(cords=Fraction(1, 3), stacked=False)).token for _person in range(PEOPLE)
    ]
    keys = [uuid4() for _person in range(PEOPLE)]

    def ask(person: int) -> int:
        try:
            placed = place_order(
                key=keys[person],
                quote_token=UUID(str(tokens[person])),
                name=f"Buyer {person}",
                phone=f"541 555 {1000 + person}",
                on=date(2026, 9, 18),
                at=an_instant(),
            )
            return placed.number
        finally:
            connections.close_all()

    def confirm(number: int) -> bool:
        try:
            confirm_order(
                number=number, picks=[Picked(lot="K1", cords=Fraction(1, 3))], at=an_instant(), who="ruth"
            )
        except NotEnoughOpen:
            return False
        finally:
            connections.close_all()
        return True

    with ThreadPoolExecutor(16) as pool:
        numbers = list(pool.map(ask, [*range(PEOPLE), *range(PEOPLE)]))
        confirmed = list(pool.map(confirm, sorted(set(numbers))))
    lot.refresh_from_db()
    return {
        "orders": Order.objects.count(),
        "same_order_for_both_taps": sum(
            first == second for first, second in zip(numbers[:PEOPLE], numbers[PEOPLE:], strict=True)
        ),
        "confirmed": sum(confirmed),
        "holds": Hold.objects.filter(state="standing").count(),
        "thirds_promised": int(lot.firm_cords * 3),
    }


EXPECTED = {
    "orders": PEOPLE,
    "same_order_for_both_taps": PEOPLE,
    "confirmed": THIRDS_OF_A_CORD,
    "holds": THIRDS_OF_A_CORD,
    "thirds_promised": THIRDS_OF_A_CORD,
}

if __name__ == "__main__":
    import django
    from django.core.management import call_command

    django.setup()
    call_command("migrate", verbosity=0)
    json.dump(crowd(), sys.stdout)
