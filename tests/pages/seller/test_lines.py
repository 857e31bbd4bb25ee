"""Figures asked in one field as they are said, and boxes ticked as one group."""

from datetime import time
from decimal import Decimal

import pytest
from django import forms
from django.utils.translation import override

from firewood_site.seller.forms.days import PlanForm, ShutForm
from firewood_site.seller.forms.ground import YardForm
from firewood_site.seller.forms.lines import Line, LineForm, Ticks
from firewood_site.seller.forms.rigs import DriverForm, RigForm


class BoxForm(LineForm):
    lines = {
        "box": Line(label="Box", parts=("length", "heap"), between=(" + ",)),
        "rated": Line(label="Rated", parts=("tongue", "tow")),
    }
    ticks = {"it": Ticks(label="It", parts=("works", "pulls"))}
    length = forms.DecimalField(label="Length", max_value=99)
    heap = forms.DecimalField(label="Heap", required=False)
    tongue = forms.IntegerField(label="Tongue", required=False)
    tow = forms.IntegerField(label="Tow", required=False)
    works = forms.BooleanField(label="Works", required=False)
    pulls = forms.BooleanField(label="Pulls", required=False)


@pytest.mark.parametrize(
    ("box", "rated", "read"),
    [
        ("12 + 1", "500 / 5,000 lb", (12, 1, 500, 5000)),
        ("12.5 ft", "", (Decimal("12.5"), None, None, None)),
        ("2,5 + 0,5", " / 5000", (Decimal("2.5"), Decimal("0.5"), None, 5000)),
    ],
)
def test_a_line_is_read_part_by_part(box, rated, read):
    form = BoxForm({"box": box, "rated": rated, "it": ["pulls"]})

    assert form.is_valid(), form.errors
    assert tuple(form.cleaned_data[name] for name in ("length", "heap", "tongue", "tow")) == read
    assert (form.cleaned_data["works"], form.cleaned_data["pulls"]) == (False, True)
    assert set(form.cleaned_data) == {"length", "heap", "tongue", "tow", "works", "pulls"}


@pytest.mark.parametrize(
    ("box", "sentence"),
    [
        ("", "This field is required."),
        ("120", "Length: Ensure this value is less than or equal to 99."),
        ("12 + 1 + 3", "That is more than asked for: write Length + Heap."),
        ("twelve", "Length: Enter a number."),
        ("12 + some", "Heap: Enter a number."),
        ("-1", ""),
    ],
)
def test_what_is_wrong_with_a_part_stands_at_its_line(box, sentence):
    form = BoxForm({"box": box, "rated": ""})

    assert ("box" in form.errors) is bool(sentence)
    assert not sentence or sentence in form.errors["box"]


def test_a_line_shows_what_is_known_and_hours_read_as_hours():
    first = DriverForm(initial={"name": "Tam", "starts_at": time(7), "ends_at": time(17, 30)})
    told = {"name": "Tam", "hours": "7 to 17:30", "longest_hours": "10", "rest": "30, 11:30 to 13:30"}
    form = DriverForm(told)

    assert first["hours"].value() == "7:00 am to 5:30 pm"
    assert form.is_valid(), form.errors
    assert (form.cleaned_data["ends_at"], form.cleaned_data["break_to"]) == (time(17, 30), time(13, 30))
    assert DriverForm({**told, "hours": "17:00 to 7:00"}).errors["hours"]


def test_a_new_rig_shows_no_signs_around_figures_nobody_wrote():
    form = RigForm(yards=[(1, "Creek Yard")], people=[])

    assert {name: form[name].initial for name in ("pickup", "box")} == dict.fromkeys(("pickup", "box"))


def test_parts_named_one_by_one_as_in_an_older_address_are_read_too():
    form = BoxForm({"length": "12", "heap": "1", "tongue": "", "tow": "5000", "works": "on"})

    assert form.is_valid(), form.errors
    read = form.cleaned_data
    assert (read["length"], read["tow"], read["works"]) == (12, 5000, True)


@pytest.mark.parametrize(
    ("line", "typed", "read"),
    [
        ("trailer", "900 / 3,500 kg", {"trailer_empty_lb": 1984, "trailer_gross_lb": 7716}),
        ("trailer", "900 kg / 3.5 t", {"trailer_empty_lb": 1984, "trailer_gross_lb": 7716}),
        ("trailer", "1900 lb / 3200 kg", {"trailer_empty_lb": 1900, "trailer_gross_lb": 7055}),
        ("trailer", "1900 / 7000", {"trailer_empty_lb": 1900, "trailer_gross_lb": 7000}),
        ("box", "3.66 x 1.83 x 0.61 + 0.3 m", {
            "box_length_ft": Decimal("12.01"), "box_width_ft": Decimal("6.00"),
            "box_side_ft": Decimal("2.00"), "box_heap_ft": Decimal("0.98"),
        }),
        ("box", "3.66 x 1.83 x 0.61 + 0.3 m, 190", {
            "box_width_ft": Decimal("6.00"), "box_heap_ft": Decimal("0.98"), "heap_number": 190,
        }),
        ("pickup", "2990 / 3900 / 750 kg / 0", {
            "truck_lb": 6592, "truck_gross_lb": 8598, "bed_payload_lb": 1653, "bed_ft3": 0,
        }),
        ("box", "12 x 6 x 24 in + 1", {"box_side_ft": Decimal("2.00"), "box_heap_ft": Decimal(1)}),
    ],
)  # fmt: skip
def test_a_plate_in_kilograms_and_a_box_in_meters_are_not_taken_for_pounds_and_feet(line, typed, read):
    """A plate of 3,500 kg was kept as 3,500 lb: less than half of what the trailer is rated for."""
    form = RigForm({line: typed}, yards=(), people=())
    form.is_valid()

    assert line not in form.errors
    assert {name: form.cleaned_data[name] for name in read} == read


@pytest.mark.parametrize(
    ("said", "hours"),
    [
        ("7:30–18:00", (time(7, 30), time(18))),
        ("7 to 17:30", (time(7), time(17, 30))),
        ("7 am - 5:30 p.m.", (time(7), time(17, 30))),
        ("7am to 12 pm", (time(7), time(12))),
        ("1 to 5 pm", (time(13), time(17))),
        ("7 to 5 pm", (time(7), time(17))),
        ("9:30 to 12 pm", (time(9, 30), time(12))),
        ("7:00 am – 13 pm", "Home by: Enter a valid time."),
        ("18:00–7:30", "Home by must be later than out."),
        ("morning", "Leave no earlier than: Enter a valid time."),
        ("7:30", "Home by: This field is required."),
    ],
)
def test_the_hours_of_a_day_are_written_as_they_are_said(said, hours):
    form = PlanForm(
        {"orders": ["208"], "rigs": ["2"], "hours": said}, orders=[208], rigs=[(2, "Big trailer")]
    )

    if form.is_valid():
        assert (form.cleaned_data["starts_at"], form.cleaned_data["ends_at"]) == hours
    else:
        assert hours in form.errors["hours"]


def test_hours_in_a_form_read_as_the_pages_write_them():
    """A form said 07:00 – 18:00 beside a page that says 7:00 am."""
    bound = PlanForm(orders=[], rigs=[])["hours"]
    english = (bound.value(), str(bound.help_text))
    with override("es"):
        bound = PlanForm(orders=[], rigs=[])["hours"]
        spanish = (bound.value(), str(bound.help_text))

    assert english == ("7:00 am – 6:00 pm",) * 2
    assert spanish == ("7:00 – 18:00",) * 2
    for given, name, text in (
        (ShutForm(yards=[], towns=[]), "hours", "1:00 pm to 8:00 pm"),
        (DriverForm(), "rest", "11:30 am to 1:30 pm"),
        (YardForm(), "open_hours", "6:00 am to 7:00 pm"),
    ):
        assert text in f"{given[name].value()} {given[name].help_text}"
