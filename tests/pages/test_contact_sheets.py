"""The contact sheets of who logs in are taken in the language kept with them."""

import re

import pytest
from django.urls import reverse

from inventory.selectors.staff import language_of
from tests.contact_sheets import CHOSEN_ON, ROLES, keep_language

pytestmark = pytest.mark.django_db


class Button:
    """The one that keeps a language, if the page has it: pressed as a browser would."""

    def __init__(self, client, page, wanted):
        self.client, self.wanted = client, re.search(r'value="(\w+)"\]', wanted)[1]
        self.form = re.search(rf'<form[^>]*>(?:(?!</form>).)*value="{self.wanted}".*?</form>', page, re.S)

    def count(self):
        return int(self.form is not None)

    def click(self):
        self.client.post(reverse("choose-language"), {"language": self.wanted})


class Pages:
    """As much of a browser's page as choosing a language needs."""

    def __init__(self, client):
        self.client = client

    def goto(self, address):
        self.shown = self.client.get(address).text

    def locator(self, wanted):
        return Button(self.client, self.shown, wanted)

    def wait_for_load_state(self):
        """Nothing is waited for without a network."""


@pytest.mark.parametrize("role", ["seller", "driver"])
def test_each_sheet_is_read_in_its_own_language(role, seller_client, driver_client):
    client = {"seller": seller_client, "driver": driver_client}[role]
    user, page = ROLES[role][0], Pages(client)

    kept = []
    for language in ("es", "es", "en"):
        keep_language(page, CHOSEN_ON[role], language)
        kept.append(language_of(user))

    assert kept == ["es", "es", "en"]
