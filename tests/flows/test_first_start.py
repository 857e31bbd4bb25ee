"""A new seller on empty books comes to a first quote on pages alone, without the admin."""

from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.utils import timezone

from tests.pages.seller.sheets import log_heap


@pytest.mark.django_db
def test_from_empty_books_to_a_first_quote(client, settings):
    settings.ROAD_ENGINE = "estimate"
    client.force_login(User.objects.create_superuser("ruth"))
    on = timezone.localdate()

    def missing():
        return [row.what for row in client.get("/seller/").context["blocking"]]

    def send(path, **changes):
        """Post a page's form as it opens, with what the seller types; the line it mends is gone."""
        form = client.get(path).context["form"]
        filled = {name: form.get_initial_for_field(field, name) for name, field in form.fields.items()}
        typed = {name: value for name, value in filled.items() if value is not None and value is not False}
        assert client.post(path, {**typed, **changes}).status_code == 302, path

    send("/seller/set-up/settings", name="Ridge Wood", address="Siding Road 4")
    send("/seller/set-up/yards/new", name="Home", lat="44.0", lon="-150.0")
    town = {"name": "Marrow Bridge", "market": "near", "lat": "44.01", "lon": "-150.06"}
    assert client.post("/seller/set-up/town", town).status_code == 302
    send("/seller/set-up/prices/new", **{"price-near-fir-seasoned": "300", "price-near-fir-green": "240"})
    assert client.post("/seller/set-up/way", {"kind": "cash"}).status_code == 302
    yard = client.get("/seller/log").context["form"].fields["yard"].choices[1][0]
    since = (on - timedelta(days=3)).isoformat()
    log_heap(client, yard=yard, cords="4", on=since, sale="for_sale")

    assert missing() == ["Load the roads", "Add a rig"]
    page = client.get("/seller/quote").context["form"]
    place = page.fields["town"].choices[1][0]
    asked = {"choice": "fir:green", "amount": "1/2", "town": place, "laid": "drop"}
    answer = client.post("/seller/quote", asked, follow=True)
    assert answer.status_code == 200
    assert "$130" in answer.content.decode()  # half of 240, a tenth dearer, to the nearest 5
