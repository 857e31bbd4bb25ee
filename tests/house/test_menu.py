"""Every link of the menus leads somewhere."""

import re
from pathlib import Path

import pytest
from django.urls import reverse

TEMPLATES = Path(__file__).resolve().parents[2] / "firewood_site" / "templates"
NAMES = sorted(
    {
        name
        for path in TEMPLATES.glob("**/*.html")
        for name in re.findall(r"\{% menu_link \"([\w-]+)\"", path.read_text(encoding="utf-8"))
    }
)


@pytest.mark.parametrize("name", NAMES)
def test_a_menu_link_leads_somewhere(name):
    assert reverse(name).startswith("/")


@pytest.mark.django_db
@pytest.mark.parametrize("name", [name for name in NAMES if name not in ("quote", "run-today")])
def test_a_menu_page_opens_on_empty_books(seller_client, name):
    """A new seller has no lots, no orders and no roads; every page must still say what to do."""
    assert seller_client.get(reverse(name)).status_code == 200
