"""One person: all that is kept of them handed out, then forgotten in every table."""

import json
from datetime import date
from decimal import Decimal
from uuid import uuid4

import pytest
from django.apps import apps
from django.core.files.base import ContentFile
from django.db.models import QuerySet
from django.urls import reverse

from inventory.models import AuditEntry, Photo
from orders.models import Claim, Customer, Letter, Payment, Quote, Ticket, WaitingEntry
from routing.models import Day, DriverEvent, Load, Run, Stop
from tests.factories.inventory import an_instant, make_yard
from tests.factories.orders import make_customer, make_market, make_order, make_place, make_sheet
from tests.factories.routing import make_rig

pytestmark = pytest.mark.django_db
ON = date(2026, 9, 18)
WORDS = (
    "Quist", "5550177", "555 0177", "quist@", "Larkspur", "9917-west", "kiln", "goat", "cowbell", "silver",
    "sister", "larder", "bandstand", "trout", "doormat", "heron", "sundial", "archway", "dovecote", "bounced",
)  # fmt: skip


@pytest.fixture
def known(business, settings, tmp_path):
    """Somebody of whom a word stands in every place where one may be written."""
    settings.MEDIA_ROOT = tmp_path
    at, yard, sheet = an_instant(), make_yard(name="Siding Yard"), make_sheet()
    person = make_customer(
        "Wilhelmina Quist", phone="+15415550177", phone_as_typed="541 555 0177", email="quist@wood.example",
        pay_first_reason="check bounced", pay_first=True,
    )  # fmt: skip
    place = make_place(
        person,
        address="88 Larkspur Lane",
        gate_code="9917-west",
        drop_spot="by the kiln",
        access_note="mind the goat",
    )
    quote = Quote.objects.create(
        made_at=at, made_on=ON, last_day=ON, sheet=sheet, market=make_market(), wood="fir",
        dryness="seasoned", cords=1, wood_dollars=260, total_dollars=260, place=place,
        asked_by="Quist, by text",
    )  # fmt: skip
    order = make_order(
        customer=person, place=place, quote=quote, state="settled", delivered_on=ON, note="ring the cowbell",
        seller_note="pays in silver", ended_reason="for her sister",
    )  # fmt: skip
    Letter.objects.create(
        order=order,
        customer=person,
        kind="asked",
        way="text",
        to="541 555 0177",
        body="to the larder",
        made_at=at,
    )
    WaitingEntry.objects.create(customer=person, wood="fir", asked_at=at)
    Claim.objects.create(order=order, kind="wet", on=ON, made_at=at, message="wet as a trout")
    Payment.objects.create(
        order=order, kind="payment", dollars=Decimal(100), method="cash", on=ON, made_at=at,
        note="under the doormat",
    )  # fmt: skip
    Ticket.objects.create(
        order=order, number=1, delivered_on=ON, cords=1, made_at=at,
        fields={"buyer_name": "Wilhelmina Quist", "buyer_address": "88 Larkspur", "drop_spot": "bandstand"},
    )  # fmt: skip
    run = Run.objects.create(day=Day.objects.create(on=ON), rig=make_rig(home_yard=yard))
    stop = Stop.objects.create(
        load=Load.objects.create(run=run, sequence=1, yard=yard), sequence=1, order=order, note="only a heron"
    )
    DriverEvent.objects.create(
        kind="delivered", stop=stop, order=order, input={"note": "by the sundial", "dollars": "100"},
        happened_at=at, received_at=at, outcome="conflict", message="left at the archway",
    )  # fmt: skip
    photo = Photo(about=order.reference, purpose="drop", taken_on=ON, made_at=at, note="the dovecote")
    photo.file.save(f"{uuid4().hex}.jpg", ContentFile(b"a picture"))
    AuditEntry.objects.create(at=at, who="ruth", verb="changed", thing=order.reference, note="to a kiln")
    return person


def _everything() -> str:
    """Every row of every table, the ledgers too."""
    return json.dumps(
        [list(QuerySet(model).values()) for model in apps.get_models()], default=str, ensure_ascii=False
    )


def test_all_we_keep_of_a_person_is_in_their_file(known, seller_client):
    told = seller_client.get(reverse("customer-export", args=[known.pk])).content.decode()

    assert [word for word in WORDS if word not in told] == []
    assert "link_secret" not in told


def test_a_neighbor_who_joined_is_in_nobody_elses_file(known, seller_client):
    make_order(neighbor=known.orders.get(), customer=make_customer("Obadiah Fenn"), note="my own business")

    told = seller_client.get(reverse("customer-export", args=[known.pk])).content.decode()

    assert "my own business" not in told


def test_a_person_who_is_erased_is_in_no_table_and_in_no_photo(
    known, seller_client, tmp_path, django_capture_on_commit_callbacks
):
    assert [word for word in WORDS if word not in _everything()] == []

    with django_capture_on_commit_callbacks(execute=True):
        seller_client.post(reverse("customer-erase", args=[known.pk]))

    assert Customer.objects.get(pk=known.pk).erased_at is not None
    assert [word for word in WORDS if word in _everything()] == []
    assert not [file for file in tmp_path.rglob("*") if file.is_file()]
    assert DriverEvent.objects.get().input == {"dollars": "100"}
    assert Payment.objects.get().dollars == 100
