"""How long will it last, and which wood for my stove: a plain answer first, a range, with its source."""

import re

import pytest

from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(business):
    yard = make_yard(name="Siding Yard")
    make_reading(make_lot(code="K1", cords="6.05", yard=yard))
    make_reading(make_lot(code="K4", cords="2", wood="hardwood", mix={"madrone": 100}, yard=yard))
    make_sheet()


def seen(client, **said):
    page = client.get("/how-much", said).content.decode()
    return re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", page))


def weeks(words, wood):
    found = re.search(rf" {wood} .*?1 cord lasts (\d+) to (\d+) weeks", words)
    return int(found[1]), int(found[2])


def test_somebody_who_never_bought_a_cord_reads_how_much_and_how_long(client, shop):
    words = seen(client)

    assert re.search(r"For a winter: \S+ cord to 1 1/4 cords of dry", words)
    assert "EPA Method 28" in words


def test_a_heated_house_takes_more_of_it_and_hardwood_lasts_longer(client, shop):
    evenings, heat = seen(client, use="evenings"), seen(client, use="heat")

    assert weeks(heat, "Fir")[1] < weeks(evenings, "Fir")[0]
    assert weeks(heat, "Hardwood")[1] > weeks(heat, "Fir")[1]
    assert "Hardwood ✓ suits that best" in heat


def test_nonsense_in_the_address_is_no_error(client, shop):
    assert client.get("/how-much", {"stove": "dragon"}).status_code == 200


def test_the_first_page_and_the_price_form_lead_to_it(client, shop):
    for path in ("/", "/price"):
        assert 'href="/how-much"' in client.get(path).content.decode()
