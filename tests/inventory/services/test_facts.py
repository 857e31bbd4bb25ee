"""What was written down wrong about a lot can be put right, with its history kept."""

from datetime import date
from decimal import Decimal

import pytest

from inventory.core.lot_days import BadDay
from inventory.core.species import BadMix
from inventory.models import AuditEntry
from inventory.services.facts import correct_facts
from tests.factories.inventory import make_lot, make_unit

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("business")]


@pytest.fixture
def told(an_instant, a_day):
    return {
        "code": "K1", "mix": {"fir": Decimal(100)}, "unit_id": None, "felled_on": date(2026, 2, 20),
        "bucked_on": None, "split_on": date(2026, 5, 12), "drying_from": date(2026, 5, 12),
        "start_moisture_pct": Decimal(60), "on": a_day, "at": an_instant, "who": "ruth",
    }  # fmt: skip


def test_every_fact_of_a_lot_can_be_put_right(told):
    lot = make_lot(code="K1")
    knob = make_unit()

    changed = correct_facts(
        **{
            **told, "mix": {"oak": Decimal(100)}, "unit_id": knob.pk, "split_on": date(2026, 6, 1),
            "drying_from": date(2026, 6, 1), "start_moisture_pct": Decimal(70),
        }
    )  # fmt: skip

    lot.refresh_from_db()
    assert set(changed) == {"mix", "unit_id", "split_on", "drying_from", "start_moisture_pct"}
    assert (lot.mix, lot.unit_id, lot.split_on) == ({"oak": 100}, knob.pk, date(2026, 6, 1))
    entry = AuditEntry.objects.get(verb="put right")
    assert entry.before["start_moisture_pct"] == "60.0"
    assert entry.after["start_moisture_pct"] == "70"


def test_nothing_changed_is_nothing_written(told):
    lot = make_lot(code="K1")

    assert correct_facts(**told) == ()

    lot.refresh_from_db()
    assert lot.version == 0


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"split_on": date(2027, 5, 1)}, "which is to come"),
        ({"felled_on": date(2026, 6, 1)}, "before it was felled"),
    ],
)
def test_a_day_that_cannot_be_is_refused(told, change, why):
    make_lot(code="K1")

    with pytest.raises(BadDay, match=why):
        correct_facts(**{**told, **change})


def test_a_mix_that_does_not_add_up_is_refused(told):
    make_lot(code="K1")

    with pytest.raises(BadMix):
        correct_facts(**{**told, "mix": {"fir": Decimal(60)}})
