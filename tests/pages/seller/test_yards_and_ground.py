"""Yards with their weather, and the ground, on the seller's pages."""

from datetime import date
from io import BytesIO

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from inventory.models import Photo, Unit, WeatherStation, Yard
from tests.factories.inventory import make_unit, make_yard

pytestmark = pytest.mark.django_db
HTMX = {"HTTP_HX_REQUEST": "true"}


YARD = {
    "name": "Creek Yard", "lat": "44.1", "lon": "-150.2", "opens_at": "07:00", "closes_at": "18:00",
    "load_fixed_minutes": "10", "load_minutes_per_cord": "36", "room_cords": "12", "rent_month": "40",
}  # fmt: skip


def test_a_yard_is_added_and_changed(seller_client, business):
    added = seller_client.post(reverse("yard-new"), YARD)
    yard = Yard.objects.get()
    changed = seller_client.post(
        reverse("yard", args=[yard.pk]), {**YARD, "room_cords": "", "soft_when_wet": "on"}
    )
    refused = seller_client.post(reverse("yard", args=[yard.pk]), {**YARD, "closes_at": "06:00"})

    assert (added.status_code, changed.status_code, refused.status_code) == (302, 302, 422)
    yard.refresh_from_db()
    assert yard.soft_when_wet
    assert yard.room_cords is None


def test_a_yards_weather_comes_from_a_city_own_values_or_a_file(seller_client, siding):
    path = reverse("yard-weather", args=[siding.pk])
    rows = "date,temp_f,rh_pct,rain_in\n" + "".join(
        f"2025-{month:02d}-{day:02d},60,60,0.1\n" for month in range(1, 13) for day in range(1, 29)
    )

    seller_client.post(path, {"city": "Eugene"})
    siding.refresh_from_db()
    assert siding.climate_city == "Eugene"
    seller_client.post(path, {"months": "18 17 15 14 13 12 11 11 12 15 18 19"})
    siding.refresh_from_db()
    assert (siding.climate_emc[0], siding.climate_city) == (18, "")
    answer = seller_client.post(path, {"file": SimpleUploadedFile("Ridge.csv", rows.encode())}, follow=True)
    siding.refresh_from_db()
    assert siding.station.name == "Ridge"
    assert "It leaves out 2025-01-29 to 2025-01-31" in answer.text
    assert "Ridge: measured Jan 2025 to Dec 2025" in answer.text
    assert siding.station.years.get().year == 2025


def test_a_forecast_file_adds_the_days_ahead_and_a_station_serves_another_yard(seller_client, siding):
    path = reverse("yard-weather", args=[siding.pk])
    ahead = "date,temp_f,rh_pct,wind_mph,rain_in\n2026-09-19,70,40,3,0\n2026-09-20,72,38,9,0.3\n"
    past = "date,temp_f,rh_pct\n2026-09-10,70,40\n2026-09-11,72,38\n"
    seller_client.post(path, {"file": SimpleUploadedFile("Ridge.csv", past.encode())})

    answer = seller_client.post(path, {"file": SimpleUploadedFile("ahead.csv", ahead.encode())}, follow=True)

    assert WeatherStation.objects.get().years.count() == 2  # days ahead are the yard's own station's
    assert "forecast to Sep 20" in answer.text
    day = seller_client.get(reverse("day", args=["2026-09-20"])).text
    assert "Weather at Ridge, from the forecast you loaded: about 72 °F, 0.3 in of rain, wind 9 mph." in day
    assert "Weather at" not in seller_client.get(reverse("day", args=["2026-09-21"])).text
    siding.refresh_from_db()
    other = make_yard(name="Upper Yard")
    seller_client.post(reverse("yard-weather", args=[other.pk]), {"station": siding.station_id})
    other.refresh_from_db()
    assert other.station_id == siding.station_id
    more = SimpleUploadedFile("year.csv", past.replace("2026", "2025").encode())
    seller_client.post(path, {"station": siding.station_id, "file": more})
    assert sorted(WeatherStation.objects.get().years.values_list("year", "is_forecast")) == [
        (2025, False), (2026, False), (2026, True),
    ]  # fmt: skip
    seller_client.post(path, {"city": "Boise"})
    siding.refresh_from_db()
    assert (siding.station, siding.climate_city) == (None, "Boise")


@pytest.mark.parametrize(
    ("said", "sentence"),
    [
        ({}, "Give one of the four"),
        ({"months": "18 17"}, "twelve"),
        ({"months": "wet dry"}, "numbers only"),
        ({"file": SimpleUploadedFile("air.csv", b"day,wet\n1,2\n")}, "names no temperature"),
    ],
)
def test_weather_that_cannot_be_is_refused(seller_client, siding, said, sentence):
    answer = seller_client.post(reverse("yard-weather", args=[siding.pk]), said)

    assert answer.status_code == 422
    assert sentence in answer.text
    siding.refresh_from_db()
    assert (siding.climate_emc, siding.station) == ([], None)


def test_ground_is_added_with_the_notice_it_needs(seller_client, business):
    said = {"name": "Knob", "acres": "1.5", "saw_log_dollars": "180", "cost_share_dollars": "600"}

    assert "Oregon asks 15 days" in seller_client.get(reverse("unit-new")).text
    assert seller_client.post(reverse("unit-new"), said).status_code == 302
    assert seller_client.post(reverse("unit-new"), said).status_code == 422  # the name is taken

    unit = Unit.objects.get()
    assert seller_client.get(reverse("unit", args=[unit.pk])).status_code == 200
    assert unit.cost_share_dollars == 600


def test_a_photo_of_the_ground_is_kept_cleaned_and_shown(seller_client, driver_client, siding):
    unit = make_unit(name="Knob")
    picture = BytesIO()
    Image.new("RGB", (60, 40), "green").save(picture, "PNG")
    path = reverse("wood-photo-add", args=["unit", str(unit.pk)])
    said = {"purpose": "before", "on": "2026-02-02", "note": "north edge"}

    kept = seller_client.post(
        path, {**said, "photo": SimpleUploadedFile("a.png", picture.getvalue())}, follow=True
    )
    refused = seller_client.post(
        path, {**said, "photo": SimpleUploadedFile("a.png", b"no picture")}, follow=True
    )

    photo = Photo.objects.get()
    shown = reverse("wood-photo", args=["unit", str(unit.pk), photo.pk])
    assert "Photo saved" in kept.text
    assert "not a photo" in refused.text
    assert (photo.about, photo.purpose, photo.taken_on) == ("unit Knob", "before", date(2026, 2, 2))
    assert seller_client.get(shown)["Content-Type"] == "image/jpeg"
    assert driver_client.get(shown).status_code == 403
    assert seller_client.get(reverse("wood-photo", args=["lot", "K1", photo.pk])).status_code == 404
