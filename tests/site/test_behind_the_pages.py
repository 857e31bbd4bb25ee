"""The admin stands under our own name, and its tables are grouped by wood, sale and road."""

import re

import pytest
from django.contrib import admin

pytestmark = pytest.mark.django_db


@pytest.fixture
def index(business, admin_client):
    return admin_client.get("/admin/").text


def test_its_head_is_ours(index):
    head = index.split('id="site-name"')[1].split("</div>")[0]

    assert "Quarrel Ridge Wood: Behind the pages" in head
    assert "firewood_site/icon.svg#mark" in head
    assert "Django" not in re.sub(r"<(script|link|style)[^>]*>", "", index)
    assert "firewood_site/admin.css" in index


def test_tables_are_grouped_by_wood_sale_and_road(index):
    groups = re.findall(r'class="section"[^>]*>\s*([^<]+?)\s*</a>', index.split('id="content-main"')[1])

    assert groups[:4] == ["Wood", "Sale", "Road", "People"]


def test_every_group_has_its_tables(index):
    main = index.split('id="content-main"')[1]
    wood, sale = main.index("app-inventory"), main.index("app-orders")

    assert wood < main.index("Yards") < sale
    assert type(admin.site).__name__ != "AdminSite"
    assert len(admin.site._registry) > 30
