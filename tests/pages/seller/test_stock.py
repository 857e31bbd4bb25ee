"""The seller's pages of wood in hand."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.urls import reverse

from inventory.models import Expense, Lot, Reading, WorkEntry
from tests.factories.inventory import make_lot, make_reading, make_unit
from tests.pages.seller.sheets import log, log_heap, log_hours

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}


PAGES = [
    "stock",
    "restack",
    "log",
    "yards",
    "units",
    "species",
]


@pytest.mark.parametrize("name", PAGES)
def test_a_page_of_the_wood_opens_and_refuses_a_driver(seller_client, driver_client, knob, name):
    assert seller_client.get(reverse(name)).status_code == 200
    assert driver_client.get(reverse(name)).status_code == 403


def test_open_wood_shows_what_may_still_be_promised(seller_client, knob):
    Lot.objects.update(said_ready="fall 2027 / es: otoño de 2027")
    text = seller_client.get(reverse("stock")).text

    assert "otoño" not in text + seller_client.get(reverse("lot", args=["K1"])).text
    assert "3.80 cords" in text
    assert "K1 Knob fir</a></b>: dry, bare" in text


def test_a_lot_opens_and_an_unknown_one_is_not_found(seller_client, knob):
    text = seller_client.get(reverse("lot", args=["K1"])).text

    assert "Worst of 5 fresh faces" in text
    assert "order 208" in text
    assert seller_client.get(reverse("lot", args=["K77"])).status_code == 404


def test_a_heap_nobody_read_is_opened_with_a_blank_start_and_offered_on_its_page(seller_client, siding):
    code = log_heap(
        seller_client, yard=siding.pk, cords="1 1/3", species="oak", on="2026-09-01", sale="for_sale"
    )

    lot = Lot.objects.get(code=code)
    assert (lot.on_hand_cords, lot.wood, lot.drying_from) == (Fraction(4, 3), "hardwood", date(2026, 9, 1))
    assert (lot.start_moisture_pct, lot.split_on, lot.sale) == (None, None, "for_sale")
    assert "likely; nobody read it" in seller_client.get(reverse("lot", args=[code])).text


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"cords": "a truckload"}, "no fixed size"),
        ({"cords": ""}, "Say how much wood is in the new heap."),
        ({"species": "plastic"}, "Select a valid choice"),
        ({"lies": ""}, "Choose what it is"),
        ({"yard": ""}, "Choose where it lies."),
        ({"on": "9999-12-31"}, "look at the year again"),
    ],
)
def test_a_heap_that_cannot_be_is_refused_in_words(seller_client, knob, siding, changes, sentence):
    said = {"wood": "new", "species": "fir", "yard": siding.pk, "cords": "1", "lies": "splits", **changes}

    answer = log(seller_client, "measure", **said)

    assert answer.status_code == 422
    assert sentence in answer.text
    assert Lot.objects.count() == 1


@pytest.mark.parametrize(("lies", "wood"), [("logs", "logs"), ("kindling", "kindling")])
def test_logs_and_kindling_are_sold_as_such(seller_client, siding, lies, wood):
    lot = Lot.objects.get(code=log_heap(seller_client, yard=siding.pk, cords="1", lies=lies, on="2026-09-01"))

    assert (lot.form, lot.wood) == (lies, wood)
    assert bool(lot.bundle_ft3) is (lies == "kindling")


def test_a_count_below_the_promises_is_kept_and_shown_with_whom_it_touches(seller_client, knob):
    log(seller_client, "measure", wood="K1", cords="2", amount="all")
    answer = seller_client.get(reverse("lot", args=["K1"]))

    assert "0.25 cord less is here than promised" in answer.text
    assert "order 208" in answer.text
    knob.refresh_from_db()
    assert knob.on_hand_cords == 2


@pytest.mark.parametrize(
    ("act", "said", "changed"),
    [
        ("keep", {"cords": "1/2"}, {"kept_cords": Fraction(1, 2)}),
        ("loss", {"cords": "0.05"}, {"on_hand_cords": 6}),
        ("sale", {"sale": "not_yet"}, {"sale": "not_yet"}),
        ("lay", {"piling": "heaped", "exposure": "low_heap", "is_covered": "on"}, {"is_covered": True}),
        ("describe", {"name": "Knob", "piece_inches": "16", "said_ready": "now"}, {"said_ready": "now"}),
    ],
)
def test_a_lot_is_changed_and_shown(seller_client, knob, act, said, changed):
    path = reverse("lot-change", args=["K1", act])

    assert seller_client.get(path).status_code == 200
    answer = seller_client.post(path, said)

    assert answer.status_code == 302
    knob.refresh_from_db()
    assert {name: getattr(knob, name) for name in changed} == changed


def test_a_change_filled_in_before_another_ones_change_is_told_and_asked_again(seller_client, knob):
    path = reverse("lot-change", args=["K1", "describe"])
    said = {"name": "Knob", "piece_inches": "16"}
    opened = seller_client.get(path).context["page"].version
    seller_client.post(reverse("lot-change", args=["K1", "keep"]), {"cords": "1/2"})  # meanwhile

    refused = seller_client.post(path, {**said, "version": opened})

    assert refused.status_code == 422
    assert "changed by somebody else just now" in refused.text
    assert 'value="Knob"' in refused.text  # what was typed is still there
    knob.refresh_from_db()
    assert knob.name == "Knob fir"
    again = seller_client.post(path, {**said, "version": refused.context["page"].version})
    assert again.status_code == 302


def test_wood_set_aside_asks_only_for_open_wood_whatever_else_changed(seller_client, knob):
    said = {"cords": "1", "for_whom": "Bea", "version": "0"}
    seller_client.post(reverse("lot-change", args=["K1", "keep"]), {"cords": "1/2"})

    assert seller_client.post(reverse("lot-change", args=["K1", "hold"]), said).status_code == 302


def test_the_lot_says_which_word_its_place_allows(seller_client, business, knob):
    business.place_key = "maryland"
    business.save(update_fields=["place_key"])

    text = seller_client.get(reverse("lot", args=["K1"])).text

    assert "You may call it <b>dry</b>" in text
    assert "must say dry or unseasoned" in text


def test_kept_wood_is_burned_and_no_more_than_that(seller_client, siding):
    make_lot(code="K4", cords=2, kept_cords=Fraction(1), yard=siding)

    assert seller_client.post(reverse("lot-change", args=["K4", "burn"]), {"cords": "1/4"}).status_code == 302
    answer = seller_client.post(reverse("lot-change", args=["K4", "burn"]), {"cords": "2"})

    assert answer.status_code == 422
    assert Lot.objects.get(code="K4").kept_cords == Fraction(3, 4)


def test_oak_sorted_out_of_a_mixed_lot_leaves_fir(seller_client, siding):
    make_lot(code="K5", cords=2, mix={"fir": 60, "oak": 40}, wood="mixed", yard=siding)

    answer = seller_client.post(
        reverse("lot-change", args=["K5", "sort"]),
        {
            "cords": "0.8", "name": "Oak of K5", "wood": "hardwood", "wood_1": "oak", "percent_1": "100",
            "start_moisture_pct": "60", "rest_is_pure": "on",
        },
    )  # fmt: skip

    assert answer["Location"] == reverse("lot", args=["K5b"])
    assert Lot.objects.get(code="K5").mix == {"fir": 100}


def test_lots_are_put_together_or_refused(seller_client, knob, siding):
    other = make_lot(code="K9", yard=siding)
    path = reverse("lot-change", args=["K9", "merge"])

    refused = seller_client.post(path, {"into": "K1"})
    make_reading(other)
    merged = seller_client.post(path, {"into": "K1"})

    assert (refused.status_code, merged.status_code) == (422, 302)
    assert "dry and wet wood" in refused.text
    knob.refresh_from_db()
    assert knob.on_hand_cords == Fraction("12.05")


def test_a_change_nobody_offers_is_not_found(seller_client, knob):
    assert seller_client.get(reverse("lot-change", args=["K1", "sell-twice"])).status_code == 404


def test_five_faces_are_kept_with_their_basis(seller_client, knob):
    faces = {f"face_{place}": face for place, face in enumerate(("20", "18", "16", "17", "19"), 1)}
    path = reverse("reading", args=["K1"])

    assert seller_client.post(path, {**faces, "basis": "wet", "on": "2026-09-18"}).status_code == 302
    refused = seller_client.post(path, {**faces, "on": "2026-09-18"})

    newest = Reading.objects.order_by("-on").first()
    assert (newest.basis, newest.worst_dry_pct) == ("wet", Decimal("25.0"))
    assert refused.status_code == 422  # the meter's basis is asked for, never assumed
    assert Reading.objects.count() == 2


def test_a_date_is_answered_honestly(seller_client, knob):
    part = seller_client.get(reverse("stock"), {"by": "2026-10-10"}, **HTMX)

    assert "cover it" in part.text
    assert "3.80 cords more once covered" in part.text  # at a glance, before the lots
    assert "<html" not in part.text
    assert seller_client.get(reverse("stock"), {"by": "soon"}).status_code == 200


@pytest.mark.parametrize(
    ("hours", "low", "high"), [("4 guess", "2.60", "7.20"), ("4 counted", "3.80", "4.20"), ("3 to 6", 3, 6)]
)
def test_work_is_logged_in_one_number_and_how_sure(seller_client, knob, hours, low, high):
    log_hours(seller_client, "split", hours=hours, on="2026-09-17", wood="K1")

    entry = WorkEntry.objects.get()
    assert (entry.hours_low, entry.hours_high) == (Decimal(low), Decimal(high))
    assert entry.lot == knob
    seller_client.post(reverse("work-remove", args=[entry.pk]))
    assert not WorkEntry.objects.exists()


def test_a_range_out_of_order_is_refused(seller_client, knob):
    answer = log(seller_client, "split", wood="K1", hours="5 to 4", on="2026-09-17")

    assert answer.status_code == 422
    assert "is no time worked" in answer.text
    assert not WorkEntry.objects.exists()


def test_money_out_is_written_down_and_taken_back(seller_client, business):
    unit = make_unit(name="Knob")
    said = {
        "line": "chains",
        "dollars": "42.50",
        "kind": "cord",
        "on": "2026-09-17",
        "about": f"unit:{unit.pk}",
    }

    assert seller_client.post(reverse("expense"), said).status_code == 302
    assert seller_client.post(reverse("expense"), {**said, "dollars": "-1"}).status_code == 422

    spent = Expense.objects.get()
    assert (spent.dollars, spent.unit) == (Decimal("42.50"), unit)
    seller_client.post(reverse("expense-remove", args=[spent.pk]))
    assert not Expense.objects.exists()


def test_wet_wood_is_compared_with_dry(seller_client, business):
    said = {"wood_1": "fir", "pct_1": "60", "stove_1": "50", "wood_2": "fir"}

    text = seller_client.get(reverse("species"), said, **HTMX).text

    assert "9.46 million Btu and 3,840 lb a cord" in text


def test_two_woods_are_compared_by_heat(seller_client, business):
    part = seller_client.get(reverse("species"), {"wood_1": "oak", "wood_2": "fir"}, **HTMX)

    assert "1 cord Oregon white oak = 1.33 cords Douglas-fir" in part.text
    assert "8,600 Btu a pound for every wood, as many printed tables take it: 1.42 cords" in part.text
    assert "<html" not in part.text


def test_the_january_count_is_folded_from_the_movements(seller_client, knob):
    text = seller_client.get(reverse("stock"), {"on": "2026-05-11"}).text

    assert "Nothing was on hand then" in text
    assert "6.05 cords" in seller_client.get(reverse("stock"), {"on": "2026-06-30"}).text


def test_wood_is_set_aside_by_hand_and_given_back(seller_client, knob):
    said = {"cords": "1/3", "for_whom": "Hob Tanner", "lapses_on": "2026-09-25"}
    path = reverse("lot-change", args=["K1", "hold"])

    assert seller_client.post(path, said).status_code == 302
    knob.refresh_from_db()
    hold = knob.holds.get(reference="Hob Tanner")
    assert (knob.soft_cords, hold.lapses_on) == (Fraction(1, 3), date(2026, 9, 25))
    assert "<span>1/3 cord<form" in seller_client.get(reverse("lot", args=["K1"])).text

    seller_client.post(reverse("hold-release", args=["K1", hold.pk]))
    knob.refresh_from_db()
    assert knob.soft_cords == 0


@pytest.mark.parametrize(
    "said",
    [{"lapses_on": "soon"}, {"cords": "5"}, {"for_whom": "order 208"}, {"cords": "a rick"}],
)
def test_a_hold_by_hand_that_cannot_be_is_refused(seller_client, knob, said):
    whole = {"cords": "1/2", "for_whom": "Hob Tanner", "lapses_on": "2026-09-25", **said}

    assert seller_client.post(reverse("lot-change", args=["K1", "hold"]), whole).status_code == 422
    assert knob.holds.count() == 1


def test_an_orders_hold_is_not_given_back_by_hand(seller_client, knob):
    hold = knob.holds.get()

    answer = seller_client.post(reverse("hold-release", args=["K1", hold.pk]), follow=True)

    assert "Order 208 holds its own wood" in answer.text
    hold.refresh_from_db()
    assert hold.state == "standing"


# --- by road between yards -------------------------------------------------------------------------------


@pytest.mark.parametrize(("name", "args"), [("log", []), ("species", [])])
def test_a_form_that_answers_as_it_is_typed_does_not_scold_for_what_is_not_typed_yet(
    seller_client, knob, upper, name, args
):
    """htmx 4 checks a form before asking, which moved the typing to the next empty field."""
    assert 'hx-validate="false"' in seller_client.get(reverse(name, args=args)).text


def test_a_wrong_species_and_a_wrong_day_are_put_right_on_the_lots_page(seller_client, knob):
    form = seller_client.get(reverse("lot-change", args=["K1", "facts"])).context["form"]
    typed = {name: value for name, value in form.initial.items() if value is not None}

    seller_client.post(
        reverse("lot-change", args=["K1", "facts"]), {**typed, "wood_1": "oak", "on_3": "2026-06-01"}
    )

    knob.refresh_from_db()
    assert knob.mix == {"oak": 100}
    assert knob.split_on == date(2026, 6, 1)
    assert "Oregon white oak" in seller_client.get(reverse("lot", args=["K1"])).text


def test_a_day_to_come_is_refused_in_a_sentence(seller_client, knob):
    form = seller_client.get(reverse("lot-change", args=["K1", "facts"])).context["form"]
    typed = {name: value for name, value in form.initial.items() if value is not None}

    answer = seller_client.post(reverse("lot-change", args=["K1", "facts"]), {**typed, "on_4": "2026-12-24"})

    assert answer.status_code == 422
    assert "which is to come" in answer.text


@pytest.mark.parametrize("language", ["en", "es"])
def test_the_charts_of_the_wood_are_drawn_and_never_printed_as_text(seller_client, knob, language):
    seller_client.post(reverse("choose-language"), {"language": language, "find": ""})

    for address in (reverse("lot", args=["K1"]), "/seller/wood"):
        page = seller_client.get(address).text
        assert '<figure class="chart"' in page
        assert "&lt;figure" not in page


def test_a_chart_is_explained_once_and_counts_every_lot_of_the_page(seller_client, knob, siding):
    make_lot(code="K8", cords="4", yard=siding, wood="logs", form="logs")

    page = seller_client.get(reverse("stock")).content.decode()

    assert page.count("first rain, ") == 1
    assert "of 2 dry now." in page
    lot = seller_client.get(reverse("lot", args=["K1"])).content.decode()
    assert lot.count("Line: ") == 1
    assert "Dots: mean of a reading, up to its worst face." in lot


def test_a_lot_entered_without_sizes_says_so(seller_client, knob):
    assert "No sizes were kept" in seller_client.get(reverse("lot", args=["K1"])).content.decode()
