"""Wood promised once."""

from datetime import date, timedelta
from fractions import Fraction

import pytest

from inventory.models import AuditEntry, Hold
from inventory.services import audit
from inventory.services.holds import (
    HoldEnded,
    NoSuchHold,
    NoSuchLot,
    NotEnoughOpen,
    NothingToHold,
    firm_up_hold,
    hold_wood,
    lapse_soft_holds,
    release_hold,
)
from tests.factories.inventory import make_lot

pytestmark = pytest.mark.django_db


def test_a_firm_hold_takes_wood_out_of_the_open_stock(an_instant):
    lot = make_lot(cords="6.05")

    hold_id = hold_wood(
        lot_id=lot.pk, cords=Fraction(1, 3), kind="firm", reference="order 202", made_at=an_instant
    )

    lot.refresh_from_db()
    assert lot.firm_cords == Fraction(1, 3)
    assert lot.version == 1
    assert Hold.objects.get(pk=hold_id).cords == Fraction(1, 3)


def test_three_thirds_of_a_cord_are_exactly_a_cord(an_instant):
    lot = make_lot(cords=1)
    third = {"lot_id": lot.pk, "cords": Fraction(1, 3), "kind": "firm", "made_at": an_instant}

    for reference in ("order 1", "order 2", "order 3"):
        hold_wood(reference=reference, **third)

    with pytest.raises(NotEnoughOpen):
        hold_wood(lot_id=lot.pk, cords=Fraction(1, 76800), kind="firm", reference="o", made_at=an_instant)


def test_more_than_is_open_is_refused_with_what_is_open(an_instant):
    lot = make_lot(cords=2, code="K5")
    hold_wood(lot_id=lot.pk, cords=Fraction(1), kind="soft", reference="order 1", made_at=an_instant)

    with pytest.raises(
        NotEnoughOpen, match="Lot K5 has 1 cord not promised, and 1 1/4 cords was asked for"
    ) as refused:
        hold_wood(lot_id=lot.pk, cords=Fraction(5, 4), kind="firm", reference="order 2", made_at=an_instant)

    assert refused.value.left == 1
    assert Hold.objects.count() == 1


def test_wood_kept_for_own_use_is_not_promised(an_instant):
    lot = make_lot(cords=2, kept_cords=Fraction(3, 2))

    with pytest.raises(NotEnoughOpen):
        hold_wood(lot_id=lot.pk, cords=Fraction(1), kind="firm", reference="order 1", made_at=an_instant)


@pytest.mark.parametrize("cords", [Fraction(0), Fraction(-1)])
def test_nothing_is_not_held(an_instant, cords):
    with pytest.raises(NothingToHold):
        hold_wood(lot_id=make_lot().pk, cords=cords, kind="firm", reference="order 1", made_at=an_instant)


def test_a_lot_that_is_not_there_is_named(an_instant):
    with pytest.raises(NoSuchLot, match="no lot 9999"):
        hold_wood(lot_id=9999, cords=Fraction(1), kind="firm", reference="order 1", made_at=an_instant)


def test_a_released_hold_gives_its_wood_back_once(an_instant):
    lot = make_lot(cords=2)
    hold_id = hold_wood(lot_id=lot.pk, cords=Fraction(1), kind="firm", reference="o 1", made_at=an_instant)

    assert release_hold(hold_id=hold_id, at=an_instant) is True
    assert release_hold(hold_id=hold_id, at=an_instant) is False

    lot.refresh_from_db()
    assert lot.firm_cords == 0
    assert Hold.objects.get(pk=hold_id).ended_at == an_instant


def test_a_paid_deposit_turns_a_soft_hold_firm(an_instant):
    lot = make_lot(cords=2)
    hold_id = hold_wood(
        lot_id=lot.pk, cords=Fraction(1), kind="soft", reference="o 1", made_at=an_instant,
        lapses_on=date(2026, 9, 20),
    )  # fmt: skip

    assert firm_up_hold(hold_id=hold_id) is True
    assert firm_up_hold(hold_id=hold_id) is False

    lot.refresh_from_db()
    assert (lot.firm_cords, lot.soft_cords) == (1, 0)
    assert Hold.objects.get(pk=hold_id).lapses_on is None


def test_a_released_hold_cannot_be_firmed_up(an_instant):
    hold_id = hold_wood(
        lot_id=make_lot(code="K9").pk, cords=Fraction(1), kind="soft", reference="order 7", made_at=an_instant
    )
    release_hold(hold_id=hold_id, at=an_instant)

    with pytest.raises(HoldEnded, match="lot K9 for order 7 is already released"):
        firm_up_hold(hold_id=hold_id)


def test_a_hold_that_never_was_is_named(an_instant):
    with pytest.raises(NoSuchHold):
        release_hold(hold_id=77, at=an_instant)


def test_soft_holds_lapse_on_their_day_and_firm_ones_stay(an_instant, a_day):
    lot = make_lot(cords=4)
    for kind, reference, lapses_on in (
        ("soft", "order 1", a_day),
        ("soft", "order 2", a_day + timedelta(days=1)),
        ("soft", "order 3", None),
        ("firm", "order 4", None),
    ):
        hold_wood(
            lot_id=lot.pk, cords=Fraction(1), kind=kind, reference=reference, made_at=an_instant,
            lapses_on=lapses_on,
        )  # fmt: skip

    assert lapse_soft_holds(on=a_day, at=an_instant) == ("order 1",)

    lot.refresh_from_db()
    assert (lot.soft_cords, lot.firm_cords) == (2, 1)


def test_a_note_of_the_trail_keeps_what_changed(an_instant):
    audit.note(at=an_instant, who="ruth", verb="moved", thing="lot K1", after={"yard": "Siding"})

    entry = AuditEntry.objects.get()
    assert (entry.who, entry.verb, entry.thing, entry.after) == (
        "ruth",
        "moved",
        "lot K1",
        {"yard": "Siding"},
    )
