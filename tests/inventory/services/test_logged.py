"""A morning's work logged on one sheet, once, and taken back."""

from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction
from uuid import uuid4

import pytest

from inventory.core import InventoryError
from inventory.core.hours import parse_hours
from inventory.core.lot_days import BadDay
from inventory.core.measure import measured
from inventory.core.stock import TooLittleThere
from inventory.models import LoggedWork, Lot, Measurement, Movement, WorkEntry
from inventory.services.counts import add_wood, correct_count
from inventory.services.logged import log_work
from inventory.services.measures import Measured
from inventory.services.parts import take_step
from inventory.services.sheets import Amount, NewHeap, NothingLogged, Sheet
from inventory.services.unlogged import WentOn, take_back
from tests.factories.inventory import an_instant, make_hold, make_lot, make_unit, make_yard

pytestmark = pytest.mark.django_db

TODAY = date(2026, 9, 18)
TOLD = {"at": an_instant(), "who": "ruth"}
MORNING = parse_hours("a morning")
BOX = {"length": 12.0, "width": 6.0, "side": 2.0, "heap": 1.0}


@pytest.fixture
def rounds():
    return make_lot(
        code="K2", cords=3, form="rounds", split_on=None, felled_on=date(2026, 3, 1), start_moisture_pct=None
    )


def trailer_load() -> Measured:
    volume = measured("trailer", BOX, form="splits")
    return Measured(shape="trailer", form="splits", sizes=BOX, volume=volume)


def sheet(**told) -> Sheet:
    return Sheet(**{"on": TODAY, "steps": ("split",), "hours": MORNING, "lot_code": "K2", **told})


def test_a_morning_writes_the_split_its_hours_and_the_row_together(rounds):
    key = uuid4()

    done = log_work(sheet=sheet(steps=("split", "stack"), on=date(2026, 9, 12)), key=key, **TOLD)
    again = log_work(sheet=sheet(steps=("split", "stack")), key=key, **TOLD)

    rounds.refresh_from_db()
    assert (rounds.form, rounds.piling, rounds.split_on) == ("splits", "stacked", date(2026, 9, 12))
    assert (done.is_new, again.is_new, again.text) == (True, False, done.text)
    entries = {row.job: row for row in WorkEntry.objects.all()}
    assert set(entries) == {"split", "heap"}
    assert sum(row.hours_likely for row in entries.values()) == 4  # a morning, shared by two jobs
    assert {row.on for row in entries.values()} == {date(2026, 9, 12)}
    assert str(done.text) == "split, stacked, lot K2, about 4 h"


def test_a_part_that_was_split_becomes_a_lot_of_its_own(rounds):
    done = log_work(sheet=sheet(cords=Fraction(1, 3)), key=uuid4(), **TOLD)

    rounds.refresh_from_db()
    part = Lot.objects.get(code=done.lot_code)
    assert (part.form, part.on_hand_cords) == ("splits", Fraction(1, 3))
    assert (rounds.form, rounds.on_hand_cords) == ("rounds", Fraction(8, 3))
    assert WorkEntry.objects.get().lot == part


def test_a_second_trailer_load_is_added_and_both_are_kept_whole():
    lot = make_lot(code="K1", cords=1)
    for _ in range(2):
        log_work(
            sheet=sheet(steps=("stack",), lot_code="K1", measured=trailer_load(), amount=Amount.MORE),
            key=uuid4(), **TOLD,
        )  # fmt: skip

    lot.refresh_from_db()
    rows = Measurement.objects.all()
    assert lot.on_hand_cords == 1 + 2 * Fraction(95, 100)
    assert [(row.is_added, row.sizes, row.form) for row in rows] == [(True, BOX, "splits")] * 2
    assert all(row.low_cords < row.likely_cords < row.high_cords for row in rows)


def test_what_was_felled_is_new_wood_and_leaves_what_lay_there_as_it_was(rounds):
    log_work(sheet=sheet(steps=("fell", "split"), cords=Fraction(1, 2)), key=uuid4(), **TOLD)

    rounds.refresh_from_db()
    assert (rounds.form, rounds.on_hand_cords) == ("rounds", Fraction(7, 2))


def test_a_heap_not_in_the_books_yet_is_opened(rounds):
    unit, yard = make_unit(name="Knob"), make_yard(name="Siding Yard")
    heap = NewHeap(species="fir", yard_id=yard.pk, unit_id=unit.pk)

    done = log_work(
        sheet=sheet(steps=("fell",), lot_code="", new_heap=heap, cords=Fraction(5, 6)), key=uuid4(), **TOLD
    )

    lot = Lot.objects.get(code=done.lot_code)
    assert (lot.code, lot.name, lot.form, lot.wood) == ("K3", "Knob Douglas-fir", "rounds", "fir")
    assert (lot.on_hand_cords, lot.felled_on, lot.unit) == (Fraction(5, 6), TODAY, unit)


def test_two_people_each_worked_the_morning(rounds):
    log_work(sheet=sheet(people=("ruth", "tam")), key=uuid4(), **TOLD)

    assert {row.who: row.hours_likely for row in WorkEntry.objects.all()} == {"ruth": 4, "tam": 4}


@pytest.mark.parametrize(
    ("told", "sentence"),
    [
        ({"steps": ()}, "Tap what was done"),
        ({"lot_code": ""}, "Tap which wood"),
        ({"steps": ("move",)}, "Choose the yard"),
        ({"steps": ("fell", "split")}, "Say how much it was"),
        ({"lot_code": "", "new_heap": NewHeap(species="fir", yard_id=1)}, "how much wood"),
    ],
)
def test_a_sheet_that_says_too_little_writes_nothing(rounds, told, sentence):
    with pytest.raises(NothingLogged, match=sentence):
        log_work(sheet=sheet(**told), key=uuid4(), **TOLD)

    assert not LoggedWork.objects.exists()


def test_a_step_that_is_refused_leaves_no_hours_behind(rounds):
    with pytest.raises(InventoryError):
        log_work(sheet=sheet(cords=Fraction(9)), key=uuid4(), **TOLD)

    assert not WorkEntry.objects.exists()
    assert not LoggedWork.objects.exists()


def test_a_day_before_the_lot_was_there_is_refused(rounds):
    with pytest.raises(BadDay, match="in the books since May 12, 2026"):
        log_work(sheet=sheet(on=date(2026, 4, 1)), key=uuid4(), **TOLD)
    add_wood(code="K2", cords=Fraction(2), on=date(2026, 9, 10), **TOLD)
    with pytest.raises(TooLittleThere, match="had 3 cords"):
        take_step(code="K2", step="split", cords=Fraction(4), on=date(2026, 8, 1), **TOLD)


def test_a_count_of_a_past_day_keeps_what_came_since(rounds):
    add_wood(code="K2", cords=Fraction(2), on=TODAY, **TOLD)

    correct_count(code="K2", counted=Fraction(5, 2), on=TODAY - timedelta(days=3), **TOLD)

    rounds.refresh_from_db()
    assert rounds.on_hand_cords == Fraction(9, 2)


@pytest.mark.parametrize(
    "told",
    [
        {"steps": ("split", "stack", "cover")},
        {"cords": Fraction(1)},
        {"steps": ("stack",), "cords": Fraction(1), "amount": Amount.MORE},
        {"steps": ("stack",), "cords": Fraction(1), "amount": Amount.ALL},
    ],
)
def test_a_sheet_is_taken_back_whole(rounds, told):
    before = {name: getattr(rounds, name) for name in ("form", "piling", "split_on", "is_covered", "wood")}
    key = uuid4()
    log_work(sheet=sheet(**told), key=key, **TOLD)

    assert take_back(key=key, **TOLD) == "K2"
    assert take_back(key=key, **TOLD) == ""

    rounds.refresh_from_db()
    assert {name: getattr(rounds, name) for name in before} == before
    assert rounds.on_hand_cords == 3
    assert not WorkEntry.objects.exists()
    assert sum(row.cords for row in Movement.objects.filter(lot=rounds)) == 3
    take_step(code="K2", step="split", on=TODAY, **TOLD)  # it can be split again


def test_wood_that_went_on_since_is_not_taken_back(rounds):
    key = uuid4()
    done = log_work(sheet=sheet(cords=Fraction(1)), key=key, **TOLD)
    make_hold(Lot.objects.get(code=done.lot_code), cords=Fraction(1, 2))

    with pytest.raises(WentOn, match="promised"):
        take_back(key=key, **TOLD)

    assert WorkEntry.objects.get().hours_likely == Decimal(4)
