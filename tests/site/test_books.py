"""The books survive a trip through CSV and through a backup, cell for cell."""

import csv
from fractions import Fraction

import pytest
from django.core.management import CommandError, call_command
from django.db import connection

from firewood_site.backups import BackupError, back_up, restore
from firewood_site.books import BooksError, export_books, import_books, tables
from inventory.models import Hold, Lot, Movement, Yard
from orders.models import Customer, Order
from tests.factories.inventory import an_instant, make_hold, make_lot
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
def test_an_unknown_column_is_named_with_the_known_ones(tmp_path):
    (tmp_path / "inventory.yard.csv").write_text("name,height\nSiding,4\n")

    with pytest.raises(BooksError, match=r"no column 'height'.*lat"):
        import_books(tmp_path)


@pytest.mark.django_db
def test_import_from_a_folder_without_files_says_what_they_are_called(tmp_path):
    with pytest.raises(CommandError, match=r"orders\.order\.csv"):
        call_command("import_csv", str(tmp_path))


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
