"""Markets, prices, customers, orders 201 to 212, and what happened with earlier ones."""

from datetime import date, time
from decimal import Decimal
from fractions import Fraction
from typing import Any

from firewood_site.demo import DEMO_DAY, spots
from firewood_site.demo.demo_books import DemoBooks
from firewood_site.demo.past_orders import load_past_orders
from inventory.core.gaps import FullDate, Money
from inventory.core.sentences import Sentence
from inventory.models import Lot
from orders.core.reasons import SAID_ALIKE
from orders.models import (
    Market,
    Order,
    PaymentKind,
    PriceSheet,
    Town,
    Uplift,
    WoodPrice,
)
from orders.services.payments import CHECK_RETURNED


def load_prices() -> dict[str, Town]:
    near = Market.objects.create(key="near", name="Local", minimum_cords=Fraction(1, 3))
    far = Market.objects.create(
        key="far", name="Coast", is_far=True, is_delivered_price=True, minimum_cords=Fraction(1, 2)
    )
    sheet = PriceSheet.objects.create(from_on=date(2026, 8, 1), note="Season 2026-27")
    prices = {
        (near, "fir", "seasoned"): 260, (near, "hardwood", "seasoned"): 350,
        (near, "mixed", "seasoned"): 300, (near, "fir", "green"): 205,
        (far, "fir", "seasoned"): 375, (far, "hardwood", "seasoned"): 540,
        (far, "mixed", "seasoned"): 440,
    }  # fmt: skip
    for (market, wood, dryness), price in prices.items():
        WoodPrice.objects.create(
            sheet=sheet, market=market, wood=wood, dryness=dryness, cord_dollars=Decimal(price)
        )
    for fraction, share in {
        "1": "0", "3/4": ".04", "2/3": ".05", "1/2": ".10", "1/3": ".15", "1/4": ".20",
    }.items():  # fmt: skip
        Uplift.objects.create(sheet=sheet, cords=Fraction(fraction), share=Decimal(share))
    PaymentKind.objects.create(key="cash", name="Cash at the door", order_by=1)
    PaymentKind.objects.create(
        key="check", name="Check at the door", order_by=2,
        instructions="Mail it to Quarrel Ridge Wood, Siding Yard, County Road 7, Marrow Bridge",
        caution="If a check is for more than is due, send nothing back.",
    )  # fmt: skip
    PaymentKind.objects.create(
        key="transfer",
        name="Bank transfer before we load",
        at_the_door=False,
        order_by=3,
        instructions="Marrow Bridge Credit Union, routing 000000000, account 0000 0142, Quarrel Ridge Wood",
    )
    towns = (
        ("Marrow Bridge", near, spots.MARROW, "2.0"), ("Larch Prairie", near, spots.LARCH, "3.0"),
        ("Fennick", near, spots.FENNICK, "2.0"), ("Sandhook", far, spots.SANDHOOK, "2.5"),
    )  # fmt: skip
    return {
        name: Town.objects.create(
            name=name, market=market, lat=where[0], lon=where[1], hop_miles=Decimal(hop)
        )
        for name, market, where, hop in towns
    }


def load_orders(towns: dict[str, Town], lots: dict[str, Lot], where: dict[str, tuple[float, float]]) -> None:
    """Orders 201 to 212; `where` gives a spot on the map for each address."""
    books = DemoBooks(towns, lots)
    money = Decimal
    cord, half, third, two_thirds = Fraction(1), Fraction(1, 2), Fraction(1, 3), Fraction(2, 3)

    def reasons(*lines: tuple[str, str, str]) -> list[dict[str, str]]:
        return [
            {"kind": kind, "label": SAID_ALIKE.get(kind, said), "dollars": dollars,
             "why": said if kind in SAID_ALIKE else ""}
            for kind, said, dollars in lines
        ]  # fmt: skip

    first = books.order(
        201, books.customer("Marlow Finch"), "Marrow Bridge", "12 Mill Street", where["201"], lot="K5",
        cords=cord, total_dollars=money("300.00"), deposit_dollars=money("60.00"), first_on=DEMO_DAY,
        last_on=DEMO_DAY, window_from=time(8, 30), window_to=time(10), drop_spot="Left of the shed",
    )  # fmt: skip
    books.hold(first, "K5")
    books.paid(first, "deposit", "60.00", date(2026, 9, 13), method="transfer")
    second = books.order(
        202, books.customer("Greta Sool", is_repeat=True), "Marrow Bridge", "31 Ferry Lane", where["202"],
        lot="K1", cords=third, total_dollars=money("100.00"), first_on=DEMO_DAY, last_on=DEMO_DAY,
        drop_spot="By the side gate", access_note="Small gate; back in from the lane",
    )  # fmt: skip
    books.hold(second, "K1")
    larch = books.order(
        203, books.customer("Pilar Ostrander", email="pilar@larch.example"), "Larch Prairie",
        "8 Orchard Road", where["203"], lot="K1", cords=two_thirds, stacked=True,
        total_dollars=money("242.00"), wood_dollars=money("180.00"), drive_dollars=money("22.00"),
        deposit_dollars=money("50.00"), first_on=DEMO_DAY, last_on=DEMO_DAY, window_from=time(11),
        drop_spot="Stack under the porch roof",
        reasons=reasons(("wood", "2/3 cord seasoned fir", "180.00"), ("drive", "19.5 miles", "22.00"),
                        ("stacking", "", "40.00")),
    )  # fmt: skip
    books.hold(larch, "K1")
    books.paid(larch, "deposit", "50.00", date(2026, 9, 13))
    fennick = books.order(
        204, books.customer("Hob Tanner"), "Fennick", "2 Quarry Grade", where["204"], lot="K4", cords=half,
        small_rig_only=True, gate_code="4471", access_note="Steep gravel, small rig only",
        total_dollars=money("237.00"), wood_dollars=money("195.00"), drive_dollars=money("22.00"),
        first_on=date(2026, 9, 22), last_on=date(2026, 9, 26), drop_spot="Top of the drive",
        reasons=reasons(("wood", "1/2 cord seasoned hardwood", "195.00"), ("drive", "19.1 miles", "22.00"),
                        ("access", "steep access", "20.00")),
    )  # fmt: skip
    books.hold(fennick, "K4")
    far: dict[str, Any] = {
        "first_on": date(2026, 9, 21), "last_on": date(2026, 10, 10), "is_pool": True,
        "waits_until": date(2026, 10, 10),
    }  # fmt: skip
    for number, name, street in ((205, "Ida Crewe", "14 Dune Street"), (206, "Len Abbot", "3 Beacon Lane")):
        order = books.order(
            number, books.customer(name), "Sandhook", street, where[str(number)], lot="K4", cords=half,
            total_dollars=money("295.00"), **far,
        )  # fmt: skip
        books.hold(order, "K4")
    sal = books.order(
        207, books.customer("Sal Dufrane"), "Sandhook", "40 Harbor Road", where["207"], lot="K1", cords=cord,
        total_dollars=money("375.00"), first_on=date(2026, 9, 21), last_on=date(2026, 11, 15), is_pool=True,
        waits_until=date(2026, 11, 15), seller_note="Tentative until the coast trip is sure",
    )  # fmt: skip
    books.hold(sal, "K1", kind="soft", lapses_on=date(2026, 10, 15))
    wilma = books.order(
        208, books.customer("Wilma Keats", is_landline=True, is_repeat=True), "Larch Prairie",
        "25 Station Street", where["208"], lot="K1", cords=cord, total_dollars=money("282.00"),
        wood_dollars=money("260.00"), drive_dollars=money("22.00"), first_on=date(2026, 9, 25),
        last_on=date(2026, 9, 25), seller_note="Phone line only: call, do not text",
        reasons=reasons(("wood", "1 cord seasoned fir", "260.00"), ("drive", "19.5 miles", "22.00")),
    )  # fmt: skip
    books.hold(wilma, "K1")
    otis = books.order(
        209, books.customer("Otis Ray"), "Marrow Bridge", "Comes to Siding Yard", spots.SIDING, lot="K1",
        cords=Fraction(1, 4), how=Order.How.PICK_UP, total_dollars=money("75.00"),
        wood_dollars=money("80.00"), first_on=date(2026, 9, 19), last_on=date(2026, 9, 19),
        reasons=reasons(("wood", "1/4 cord seasoned fir", "80.00"), ("pick_up", "", "-5.00")),
    )  # fmt: skip
    books.hold(otis, "K1")
    nell = books.order(
        210, books.customer("Nell Bardo"), "Marrow Bridge", "7 Smithy Row", where["210"], lot="K6",
        cords=Fraction(2), dryness="green", total_dollars=money("390.00"), wood_dollars=money("410.00"),
        first_on=date(2026, 10, 1), last_on=date(2026, 10, 31), note="Green, for next winter",
        reasons=reasons(("wood", "2 cords green fir", "410.00"), ("two_cords", "", "-20.00")),
    )  # fmt: skip
    books.hold(nell, "K6")
    camp = books.order(
        211, books.customer("Sandbar camp"), "Sandhook", "Sandbar camp, Shore Road", where["211"], lot="K7",
        bundles=40, total_dollars=money("200.00"), **far,
    )  # fmt: skip
    books.hold(camp, "K7")
    gus = books.customer(
        "Gus Morrow", pay_first=True, pay_first_on=date(2026, 1, 12), owed_before=money("165.00"),
        pay_first_reason=Sentence(
            CHECK_RETURNED,
            {"dollars": Money(money("165.00")), "number": 153, "day": FullDate(date(2026, 1, 12))},
        ),
    )  # fmt: skip
    books.order(
        212, gus, "Marrow Bridge", "19 Mill Street", where["212"], lot="K1", cords=half,
        total_dollars=money("145.00"), state=Order.State.ASKED, first_on=date(2026, 9, 21),
        last_on=date(2026, 10, 3), asked_on=date(2026, 9, 17),
    )  # fmt: skip
    load_past_orders(books, where)


ADDRESSES = {  # order number: street address, as in the invented extract, and town
    "201": ("12 Mill Street", "Marrow Bridge"), "202": ("31 Ferry Lane", "Marrow Bridge"),
    "203": ("8 Orchard Road", "Larch Prairie"), "204": ("2 Quarry Grade", "Fennick"),
    "205": ("14 Dune Street", "Sandhook"), "206": ("3 Beacon Lane", "Sandhook"),
    "207": ("40 Harbor Road", "Sandhook"), "208": ("25 Station Street", "Larch Prairie"),
    "210": ("7 Smithy Row", "Marrow Bridge"), "211": ("Shore Road", "Sandhook"),
    "212": ("19 Mill Street", "Marrow Bridge"), "156": ("5 Ferry Lane", "Marrow Bridge"),
    "149": ("11 Station Street", "Larch Prairie"), "161": ("3 Orchard Road", "Larch Prairie"),
}  # fmt: skip


def find_addresses(towns: dict[str, Town]) -> dict[str, tuple[float, float]]:
    """The spot of each address: from the street index of the loaded roads, else the middle of its town."""
    from routing.selectors.roads.current import search_streets

    found = {}
    for number, (street, town) in ADDRESSES.items():
        hits = search_streets(f"{street} {town}", limit=1)
        row = towns[town]
        found[number] = (hits[0].lat, hits[0].lon) if hits else (row.lat, row.lon)
    return found
