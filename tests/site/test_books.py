"""The books survive a trip through CSV and through a backup, cell for cell."""

import csv
from decimal import Decimal
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from firewood_site.backups import BackupError, back_up, restore
from firewood_site.books import BooksError, export_books, import_books, tables
from inventory.models import Hold, Lot, Movement, Yard
from orders.models import Customer, Order, Payment
from tests.factories.inventory import an_instant, make_hold, make_lot, make_yard
from tests.factories.orders import make_order, make_sheet


def _everything() -> dict[str, list[tuple]]:
    return {
        model._meta.label: list(model._default_manager.order_by("pk").values_list()) for model in tables()
    }


def _empty() -> None:
    """Raw deletes, children first: ledgers refuse any other way."""
    with connection.cursor() as cursor:
        for model in reversed(tables()):
            cursor.execute(f'DELETE FROM "{model._meta.db_table}"')


def _change_column(path: Path, column: str, value: str) -> None:
    """Write ``value`` in a column of every row, whatever numbers the other columns hold."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    with path.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, list(rows[0]))
        writer.writeheader()
        writer.writerows({**row, column: value} for row in rows)


@pytest.mark.django_db
def test_exported_books_come_back_cell_for_cell(business, tmp_path):
    make_sheet()
    lot = make_lot(cords=Fraction(605, 100))
    make_hold(lot, cords=Fraction(1, 3))
    make_order(customer=Customer.objects.create(name='=HYPERLINK("x")', phone="+1", made_at=an_instant()))
    make_order(note="'quoted', with a comma\nand a second line")
    before = _everything()

    export_books(tmp_path)
    _empty()
    import_books(tmp_path)

    assert _everything() == before
    assert Lot.objects.get(pk=lot.pk).on_hand_cords == Fraction(605, 100)
    assert Hold.objects.get().cords == Fraction(1, 3)


@pytest.mark.django_db
def test_a_cell_that_a_spreadsheet_would_run_is_made_harmless(business, tmp_path):
    make_order(note="=1+1")

    export_books(tmp_path)

    with (tmp_path / "orders.order.csv").open(newline="", encoding="utf-8") as file:
        assert next(csv.DictReader(file))["note"] == "'=1+1"


@pytest.mark.django_db
def test_import_refuses_books_that_are_not_empty(business, tmp_path):
    make_lot()
    export_books(tmp_path)

    with pytest.raises(BooksError, match="rows already"):
        import_books(tmp_path)


@pytest.mark.django_db
def test_a_bad_cell_is_named_by_file_line_and_column_and_nothing_is_kept(tmp_path):
    (tmp_path / "inventory.yard.csv").write_text("name,lat,lon\nSiding,44,-150\nCreek,north,-150\n")

    with pytest.raises(BooksError, match=r"inventory\.yard\.csv line 3, column lat: 'north'"):
        import_books(tmp_path)
    assert Yard.objects.count() == 0


@pytest.mark.django_db
def test_every_row_that_breaks_a_rule_is_named_and_nothing_is_kept(business, tmp_path):
    """A state that is none, a name of 5,000 letters and a NUL were taken once."""
    make_sheet()
    make_order(), make_order()
    export_books(tmp_path)
    _empty()
    orders, people = tmp_path / "orders.order.csv", tmp_path / "orders.customer.csv"
    orders.write_text(orders.read_text("utf-8").replace(",asked,", ",hacked,", 1), "utf-8")
    people.write_text(people.read_text("utf-8").replace("Greta Sool", "x" * 5000, 1), "utf-8")

    with pytest.raises(BooksError) as refusal:
        import_books(tmp_path)

    assert "orders.order.csv line 2, column state: 'hacked'" in str(refusal.value)
    assert "orders.customer.csv line 2, column name" in str(refusal.value)
    assert not Customer.objects.exists()


@pytest.mark.django_db
def test_a_lot_that_disagrees_with_its_movements_is_refused(business, tmp_path):
    lot = make_lot(code="K1")
    export_books(tmp_path)
    _empty()
    path = tmp_path / "inventory.movement.csv"
    _change_column(path, "cords", "99")

    with pytest.raises(
        BooksError, match=rf"Lot K1 has {lot.on_hand_cords} cords, but its movements add up to 99"
    ):
        import_books(tmp_path)


@pytest.mark.django_db
def test_a_lot_that_promises_what_no_hold_tells_is_refused(business, tmp_path):
    make_lot(code="K1")
    Lot.objects.update(firm_cords=Fraction(1, 3))
    export_books(tmp_path)
    _empty()

    with pytest.raises(
        BooksError, match=r"Lot K1 has 1/3 cords promised, but its standing holds add up to 0"
    ):
        import_books(tmp_path)


def _lines(*dollars: str) -> list[dict[str, str]]:
    return [
        {"kind": "wood", "label": "1/3 cord seasoned fir", "dollars": amount, "why": ""} for amount in dollars
    ]


def _paid(order: Order, kind: str, dollars: str, **more: Any) -> Payment:
    fields = {"on": order.asked_on, "made_at": order.asked_at, "who": "ruth"}
    return Payment.objects.create(order=order, kind=kind, dollars=Decimal(dollars), **fields, **more)


@pytest.mark.django_db
def test_money_that_adds_up_is_taken(business, tmp_path):
    settled = make_order(state="settled", reasons=_lines("80.00", "20.00"))
    _paid(settled, "credit", "10.00")
    wrong = _paid(settled, "payment", "95.00")
    _paid(settled, "undone", "-95.00", reverses=wrong)
    _paid(settled, "payment", "90.00")
    export_books(tmp_path)
    _empty()

    import_books(tmp_path)

    assert Order.objects.get().state == "settled"


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("fields", "ledger", "sentence"),
    [
        (
            {"reasons": _lines("80.00", "15.00")},
            [],
            "Order {number} costs 100.00, but the lines of its price add up to 95.00.",
        ),
        (
            {"reasons": [*_lines("92.00"), {"kind": "tax", "label": "Sales tax", "dollars": "8.00"}]},
            [],
            "Order {number} has 0.00 of tax, but the line of its price says 8.00.",
        ),
        (
            {"reasons": ["a third of fir"]},
            [],
            "Order {number}: the lines of its price can't be read. Each has a label and its dollars.",
        ),
        (
            {"state": "settled"},
            [("payment", "60.00")],
            "Order {number} is settled, but 40.00 of it is not paid.",
        ),
        (
            {},
            [("payment", "60.00"), ("refund", "-70.00")],
            "Order {number}: more money went back than came in (-10.00).",
        ),
        (
            {},
            [("refund", "70.00")],
            "Order {number}, ledger line {line}: A refund takes money away: write -70.00 with a minus sign.",
        ),
        (
            {},
            [("undone", "70.00")],
            "Order {number}, ledger line {line} undoes an entry, but does not say which.",
        ),
    ],
)
def test_money_that_contradicts_itself_is_refused_by_name(business, tmp_path, fields, ledger, sentence):
    order = make_order(**fields)
    lines = [_paid(order, kind, dollars) for kind, dollars in ledger]
    export_books(tmp_path)
    _empty()

    with pytest.raises(BooksError) as refusal:
        import_books(tmp_path)

    line = lines[-1].pk if lines else ""
    assert sentence.format(number=order.number, line=line) in str(refusal.value).splitlines()
    assert not Order.objects.exists()


@pytest.mark.django_db
def test_a_line_that_takes_back_another_amount_is_refused(business, tmp_path):
    order = make_order()
    check = _paid(order, "payment", "100.00", method="check")
    back = _paid(order, "returned", "-90.00", method="check", reverses=check)
    export_books(tmp_path)
    _empty()

    with pytest.raises(BooksError, match=f"line {back.pk} takes back line {check.pk}, but differs from it"):
        import_books(tmp_path)


@pytest.mark.django_db
def test_imported_names_that_sell_by_no_measure_are_named_and_nothing_is_kept(business, tmp_path):
    """A typed "stove cord" was refused; the same in a file went straight onto the shop page."""
    make_lot(code="K1", name="Stove cord of fir")
    make_lot(code="K2", name="Seasoned oak")
    make_lot(code="K3", name="Knob fir", yard=make_yard(name="Rick's yard"))
    export_books(tmp_path)
    _empty()

    with pytest.raises(BooksError) as refused:
        import_books(tmp_path)

    first, lot, dry = str(refused.value).splitlines()
    assert first == "Nothing was kept."
    assert "inventory.lot.csv" in lot
    assert "'stove cord'" in lot
    assert "'Seasoned' says how dry the wood is" in dry
    assert not Lot.objects.exists()


@pytest.mark.django_db
def test_a_file_in_another_encoding_is_told_in_a_sentence(tmp_path):
    (tmp_path / "inventory.yard.csv").write_bytes("name,lat,lon\nPe\xf1a,44,-150\n".encode("latin-1"))

    with pytest.raises(BooksError, match="not UTF-8"):
        import_books(tmp_path)


@pytest.mark.django_db
def test_an_unknown_column_is_named_with_the_known_ones(tmp_path):
    (tmp_path / "inventory.yard.csv").write_text("name,height\nSiding,4\n")

    with pytest.raises(BooksError, match=r"no column 'height'.*lat"):
        import_books(tmp_path)


@pytest.mark.django_db
def test_import_from_a_folder_without_files_says_what_they_are_called(tmp_path):
    with pytest.raises(CommandError, match=r"orders\.order\.csv"):
        call_command("import_csv", str(tmp_path))


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_a_backup_brings_back_orders_and_photos(business, tmp_path, settings):
    if connection.vendor != "sqlite":
        pytest.skip("the PostgreSQL copy is made by pg_dump and tested with the PostgreSQL set")
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.MEDIA_ROOT.mkdir()
    (settings.MEDIA_ROOT / "load.jpg").write_bytes(b"a photo")
    order = make_order()
    made = back_up(tmp_path / "copies", an_instant())
    Order.objects.filter(pk=order.pk).update(note="changed after the copy")
    (settings.MEDIA_ROOT / "load.jpg").write_bytes(b"spoiled")

    restore(made)

    assert Order.objects.get(pk=order.pk).note == ""
    assert (settings.MEDIA_ROOT / "load.jpg").read_bytes() == b"a photo"
    assert Movement.objects.count() == 0


@pytest.mark.django_db
def test_restoring_a_damaged_copy_changes_nothing(business, tmp_path):
    if connection.vendor != "sqlite":
        pytest.skip("SQLite's own check")
    (tmp_path / "database.sqlite3").write_bytes(b"SQLite format 3\x00 and then rubbish" * 40)
    order = make_order()

    with pytest.raises(BackupError, match="damaged"):
        restore(tmp_path)
    assert Order.objects.filter(pk=order.pk).exists()


@pytest.mark.parametrize("command", ["backup", "export_csv", "import_csv", "restore"])
def test_a_folder_that_is_none_is_told_in_a_sentence(db, tmp_path, command):
    (tmp_path / "letter.txt").write_text("no folder")

    with pytest.raises(CommandError, match=r"letter\.txt"):
        call_command(command, str(tmp_path / "letter.txt"))
