"""Orders before the demo's books began: a make-good, a wet claim answered, a returned check and a no-show."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from firewood_site.demo.demo_books import DemoBooks, at
from orders.models import Claim, Customer, Order


def load_past_orders(books: DemoBooks, where: dict[str, tuple[float, float]]) -> None:
    """A make-good, a wet claim answered, a returned check and a no-show, all before the books began."""
    money = Decimal
    short = books.order(
        156, books.customer("Ansel Pruitt"), "Marrow Bridge", "5 Ferry Lane", where["156"], lot="K5",
        cords=Fraction(1), total_dollars=money("300.00"), deposit_dollars=money("60.00"),
        state=Order.State.SETTLED, asked_on=date(2026, 1, 14), first_on=date(2026, 1, 17),
        last_on=date(2026, 1, 17), delivered_on=date(2026, 1, 17), delivered_cords=Fraction(1),
    )  # fmt: skip
    books.paid(short, "deposit", "60.00", date(2026, 1, 14))
    books.paid(short, "credit", "25.00", date(2026, 1, 24), "Stacked 117.33 ft3, 8.33% short")
    books.paid(short, "payment", "215.00", date(2026, 1, 24))
    Claim.objects.create(
        order=short, kind=Claim.Kind.SHORT, state=Claim.State.CREDITED, on=date(2026, 1, 23),
        length_ft=money(22), height_ft=money(4), depth_in=money(16),
        message="Stacked it along the fence and it came up short.",
        result={"stacked_ft3": "117.33", "short_pct": "8.33", "credit": "25.00"},
        answer="You measured it right. $25 off; thank you for saying so.", made_at=at(date(2026, 1, 23)),
        ended_at=at(date(2026, 1, 24)),
    )  # fmt: skip
    wet = books.order(
        149, books.customer("Dora Quill"), "Larch Prairie", "11 Station Street", where["149"], lot="K4",
        cords=Fraction(1, 2), total_dollars=money("217.00"), state=Order.State.SETTLED,
        asked_on=date(2025, 11, 20), first_on=date(2025, 11, 22), last_on=date(2025, 11, 22),
        delivered_on=date(2025, 11, 22), delivered_cords=Fraction(1, 2),
    )  # fmt: skip
    books.paid(wet, "payment", "217.00", date(2025, 11, 22))
    Claim.objects.create(
        order=wet, kind=Claim.Kind.WET, state=Claim.State.ANSWERED, on=date(2025, 11, 25),
        readings=[27, 24, 26], basis="dry", message="It hissed the first night.",
        answer="Read 18 to 20 on fresh faces at loading. Rain on the way wet the outside; two dry days under "
        "a roof and it read 19 inside.",
        made_at=at(date(2025, 11, 25)), ended_at=at(date(2025, 11, 28)),
    )  # fmt: skip
    gus = Customer.objects.get(name="Gus Morrow")
    bounced = books.order(
        153, gus, "Marrow Bridge", "19 Mill Street", where["212"], lot="K1", cords=Fraction(1, 2),
        total_dollars=money("165.00"), state=Order.State.DELIVERED, asked_on=date(2026, 1, 3),
        first_on=date(2026, 1, 6), last_on=date(2026, 1, 6), delivered_on=date(2026, 1, 6),
        delivered_cords=Fraction(1, 2),
    )  # fmt: skip
    books.paid(bounced, "payment", "165.00", date(2026, 1, 6), method="check")
    books.paid(bounced, "returned", "-165.00", date(2026, 1, 12), "Returned unpaid by the bank", "check")
    gus.owed_before = Decimal(0)  # the ledger of order 153 says it now
    gus.save(update_fields=["owed_before"])
    books.order(
        161, books.customer("Perrin Vale"), "Larch Prairie", "3 Orchard Road", where["161"], lot="K1",
        cords=Fraction(1, 3), total_dollars=money("122.00"), state=Order.State.CANCELLED,
        asked_on=date(2026, 2, 9), first_on=date(2026, 2, 12), last_on=date(2026, 2, 12),
        ended_reason="Nobody there on 12 February; never called back",
    )  # fmt: skip
