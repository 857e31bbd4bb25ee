"""A list kept elsewhere is brought in on screen: columns matched, every line tried, then added once."""

import io
import random
from datetime import date
from decimal import Decimal
from fractions import Fraction
from zipfile import ZipFile

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from firewood_site.bringing_in.columns import read_row
from inventory.core import local
from inventory.core.species import published_woods, spoken
from inventory.models import Business, Lot
from orders.models import Customer, Order, Payment, Place
from orders.selectors.money import owed_by_customer
from tests.factories.inventory import make_yard
from tests.factories.orders import make_town

PAGE = "/seller/set-up/bring-in"
CUSTOMERS = """Customer,Mobile,Email,Street,City,Balance due
Wilma Keats,(541) 555-0142,wilma@example.org,12 Mill Road,Marrow Bridge,$165.00
Otis Ray,541 555 0150,,,Elsewhere,
,541 555 0151,,,,
Bo Lind,12,,,,
"""
ORDERS = """Date;Name;Wood;Cords;Total;Paid;Town
9/18/2025;Wilma Keats;Doug fir;1/2;145;145;Marrow Bridge
2025-10-02;Wilma Keats;oak;1;$350;300;Marrow Bridge
10/03/2026;Nell Bardo;fir;1;260;;
soon;Nell Bardo;fir;1;260;;
2025-10-04;Nell Bardo;plastic;1;260;;
"""

WOODS = {"name": 0, "wood": 1, "cords": 2}, ("Name", "Wood", "Cords")

pytestmark = pytest.mark.django_db


def send(client, kind, data, name="list.csv"):
    raw = data if isinstance(data, bytes) else data.encode()
    return client.post(PAGE, {"kind": kind, "file": SimpleUploadedFile(name, raw)})


def add(client, answer, **changed):
    fields = {f"column-{field.key}": "" if place < 0 else place for field, place in answer.context["fields"]}
    return client.post(PAGE, {"kind": answer.context["kind"], "act": "add", **fields, **changed}, follow=True)


def fates(answer):
    return {fate.line: (fate.state, fate.text) for fate in answer.context["fates"]}


def test_customers_are_tried_first_then_added_and_known_the_second_time(seller_client):
    make_town()

    tried = send(seller_client, "customers", CUSTOMERS)

    assert not Customer.objects.exists()
    assert fates(tried) == {
        2: ("new", "Wilma Keats is added."),
        3: ("new", "Otis Ray is added; Elsewhere is no town you sell to yet."),
        4: ("bad", "Name is missing."),
        5: ("bad", fates(tried)[5][1]),
    }
    assert "does not look like a phone number" in fates(tried)[5][1]
    assert "2 added. 2 left out" in add(seller_client, tried).content.decode()
    wilma = Customer.objects.get(name="Wilma Keats")
    assert (wilma.phone, wilma.is_repeat, owed_by_customer(wilma.pk)) == ("+15415550142", True, 165)
    assert Place.objects.get(customer=wilma).address == "12 Mill Road, Marrow Bridge"
    assert {state for state, _text in fates(send(seller_client, "customers", CUSTOMERS)).values()} == {
        "known",
        "bad",
    }


def test_delivered_orders_come_with_what_was_paid_and_touch_no_wood(seller_client):
    make_town()

    tried = send(seller_client, "orders", ORDERS)

    assert [fates(tried)[line][0] for line in range(2, 7)] == ["new", "new", "bad", "bad", "bad"]
    assert "still to come" in fates(tried)[4][1]
    assert "'soon' is no day" in fates(tried)[5][1]
    assert "'plastic' is no wood we know" in fates(tried)[6][1]
    assert not Order.objects.exists()
    add(seller_client, tried)
    half, whole = Order.objects.order_by("delivered_on")
    assert (half.wood, half.delivered_cords, half.state) == ("fir", Fraction(1, 2), "settled")
    assert (whole.wood, whole.state, whole.delivered_on) == ("hardwood", "delivered", date(2025, 10, 2))
    assert sum(Payment.objects.values_list("dollars", flat=True)) == Decimal(445)
    assert owed_by_customer(whole.customer_id) == 50
    assert not Lot.objects.exists()
    again = send(seller_client, "orders", ORDERS)
    assert [fates(again)[line][0] for line in (2, 3)] == ["known", "known"]
    for page in ("orders", "customers", "money", "margins", "worth", "season"):
        assert seller_client.get(reverse(page)).status_code == 200, page


def test_lots_of_a_workbook_are_in_the_yard_and_for_sale(seller_client):
    make_yard(name="Siding Yard")
    book = openpyxl.Workbook()
    for row in (
        ["Stack", "Kind of wood", "Cords", "Split"],
        ["Knob", "fir", 6.05, date(2026, 5, 12)],
        ["Bench", "oak", "1 1/3", None],
        ["Sticks", "kindling", 85, None],
    ):
        book.active.append(row)
    file = io.BytesIO()
    book.save(file)

    tried = send(seller_client, "lots", file.getvalue(), "wood.xlsx")
    add(seller_client, tried)

    assert fates(tried)[4][0] == "bad"
    knob, bench = Lot.objects.order_by("code")
    assert (knob.on_hand_cords, knob.split_on, knob.sale) == (Fraction("6.05"), date(2026, 5, 12), "for_sale")
    assert (bench.on_hand_cords, bench.mix) == (Fraction(4, 3), {"oak": 100})


def test_columns_that_were_guessed_wrong_are_matched_on_screen(seller_client):
    tried = send(seller_client, "customers", "A,B\nWilma Keats,541 555 0142\n")
    assert fates(tried)[2] == ("bad", "Name is missing.")

    again = seller_client.post(
        PAGE, {"kind": "customers", "act": "look", "column-name": "0", "column-phone": "1"}
    )

    assert fates(again)[2][0] == "new"
    assert not Customer.objects.exists()
    add(seller_client, again)
    assert Customer.objects.get().phone == "+15415550142"


@pytest.mark.parametrize(
    ("name", "data", "said"),
    [
        ("a.csv", b"", "empty"),
        ("a.csv", b"Name\n", "at least one line below it"),
        ("a.csv", b"Name,Phone\n\0\0,\n", "no table"),
        ("a.xls", b"\xd0\xcf\x11\xe0", "old kind of workbook"),
        ("a.xlsx", b"PK\x03\x04nonsense", "open it and save it anew"),
        ("a.csv", b"Name\n" + b"x\n" * 3001, "more than 3,000 lines"),
        ("a.csv", b"x" * (5 * 1024 * 1024 + 1), "larger than 5 MB"),
    ],
)
def test_a_file_that_is_no_table_is_refused_in_a_sentence(seller_client, name, data, said):
    answer = send(seller_client, "customers", data, name)

    assert answer.status_code == 422
    assert said in answer.content.decode() or said == "empty"


def test_a_workbook_that_unpacks_too_large_is_not_unpacked(seller_client):
    packed = io.BytesIO()
    with ZipFile(packed, "w", 8) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"0" * (61 * 1024 * 1024))

    assert (
        "too large once unpacked" in send(seller_client, "lots", packed.getvalue(), "a.xlsx").content.decode()
    )


def test_every_species_of_the_table_is_a_wood_an_older_list_may_name(business):
    woods = {"softwood": "fir", "hardwood": "hardwood"}
    table = published_woods().items()

    read = {key: read_row("lots", ("Knob", spoken(kind), "1"), *WOODS)["wood"] for key, kind in table}

    assert read == {key: woods[kind.group] for key, kind in table}


@pytest.mark.parametrize(
    ("text", "wood"),
    [
        ("Soft maple", "hardwood"),
        ("black locust", "hardwood"),
        ("redcedar", "fir"),
        ("Douglasfir", "fir"),
        ("fir/oak mix", "mixed"),
        ("bundled logs", "kindling"),
    ],
)
def test_the_words_of_an_older_list_are_read_as_a_wood(business, text, wood):
    assert read_row("lots", ("Knob", text, "1"), *WOODS)["wood"] == wood


@pytest.mark.parametrize("kind", ["customers", "orders", "lots"])
def test_no_cell_breaks_the_page(seller_client, kind):
    make_town(), make_yard()
    dice = random.Random(kind)
    bad = [
        "",
        "x" * 400,
        "-1",
        "1e999",
        "NaN",
        "9/99/2026",
        "=1+1",
        "½",
        "00/00/0000",
        "1/0",
        "\u202e",
        "🪵",
        "0",
        "'",
    ]
    names = "name,phone,email,address,town,owed,date,wood,cords,total,paid,yard,split,felled,code"
    lines = [",".join(f'"{dice.choice(bad)}"' for _name in names.split(",")) for _line in range(60)]

    answer = send(seller_client, kind, "\n".join([names, *lines]))

    assert answer.status_code == 200
    assert len(fates(answer)) == len([line for line in lines if line.replace('"', "").replace(",", "")])
    assert seller_client.post(PAGE, {"kind": "moon"}).status_code == 422
    assert seller_client.post(PAGE, {"kind": kind, "column-name": "999999", "act": "add"}).status_code == 302


@pytest.mark.parametrize(
    ("column", "first", "second"),
    [("Volume", Fraction(1, 3), Fraction(4)), ("Cords", Fraction("1.21"), Fraction("14.5"))],
)
def test_a_bare_amount_is_in_cubic_meters_where_those_count_unless_its_column_says_cords(
    seller_client, business, column, first, second
):
    Business.objects.update(place_key="metric")
    local.forget()
    make_yard(name="Siding Yard")
    tried = send(seller_client, "lots", f"Name;Wood;{column}\nKnob;fir;1,21\nBench;oak;14.50\n")
    assert "Cords</label>" not in tried.text
    add(seller_client, tried)

    assert [lot.on_hand_cords for lot in Lot.objects.order_by("code")] == [first, second]


def test_bundles_are_counted_wherever_the_place_lies(seller_client, business):
    Business.objects.update(place_key="metric")
    local.forget()
    make_town()
    tried = send(seller_client, "orders", "Date;Name;Wood;Amount;Total\n9/18/2025;Wilma;kindling;20;140\n")
    add(seller_client, tried)

    assert Order.objects.get().bundles == 20
