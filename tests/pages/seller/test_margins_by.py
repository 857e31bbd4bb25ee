"""What was left by load, town, wood and month: a chart, its table and its CSV, which add up to the same."""

import csv
import re
from decimal import Decimal
from html import unescape
from io import StringIO
from urllib.parse import unquote

import pytest
from django.urls import reverse

from routing.models import Day
from routing.selectors.earned.margins import loads_earned
from tests.factories.day import FRIDAY, commit, drive_by_the_job, make_friday

GROUPS = {
    "load": 2,
    "town": {"Marrow Bridge", "Larch Prairie"},
    "wood": {"mixed", "fir"},
    "month": {"Sep 2026"},
}


@pytest.fixture
def committed(db, business, monkeypatch, an_instant):
    drive_by_the_job(monkeypatch)
    return commit(make_friday(), an_instant)


def asked(client, by):
    page = client.get(reverse("margins"), {"month": "2026-09", "by": by}).content.decode()
    return page.partition('<figure class="chart" id="chart-margins">')[2].partition("</figure>")[0]


@pytest.mark.parametrize("by", GROUPS)
def test_the_margin_of_a_month_is_drawn_and_told_by(seller_client, committed, by):
    left = sum(load.latest.cash_left for load in loads_earned(FRIDAY, FRIDAY))

    chart = asked(seller_client, by)

    link = re.search(r'download="margins.csv" href="data:text/csv;charset=utf-8,([^"]+)"', chart)
    head, *rows = csv.reader(StringIO(unquote(unescape(link[1]))))
    names = {name for name, _, _ in rows}
    assert head == ["", "Dollars", "Note"]
    assert len(names) == GROUPS[by] if by == "load" else names == GROUPS[by]
    assert sum(Decimal(dollars.replace("−", "-")) for _, dollars, _ in rows) == left
    assert all("planned" in note and "/h" in note for *_, note in rows)  # committed, not home yet
    assert f"Cash left by {by}, dollars" in chart
    assert chart.count("<td") == 2 * len(rows)
    assert chart.count("<rect") >= len(rows)


def test_a_draft_is_in_no_bar_and_an_unknown_grouping_is_by_load(seller_client, committed):
    assert "Cash left by load" in asked(seller_client, "moon")
    Day.objects.update(state=Day.State.DRAFT)

    for by in GROUPS:
        assert asked(seller_client, by) == ""
