"""Every figure of the season ahead leads to what it is made of, and its parts add up to it."""

from datetime import datetime

import pytest
from django.contrib.auth.models import User
from django.urls import reverse
from django.utils import timezone

from routing.models import SeasonGuesses
from routing.services.season import plan_season
from tests.conftest import A_DAY
from tests.factories.demo import load_demo
from tests.pages.seller.figures import figures_told, main_of, number, rows_of

pytestmark = pytest.mark.django_db
SEE = ("", "who", "week", "net", "ways", "lived", "patches", "one", "weeks", "changes", "rests")


@pytest.fixture(scope="module")
def pages(django_db_setup, django_db_blocker):
    """The demo's page with each of its folds open; the books are put back afterwards."""
    from django.db import transaction
    from django.test import Client

    with django_db_blocker.unblock(), transaction.atomic():
        load_demo()
        SeasonGuesses.objects.update_or_create(defaults={"lost_pct": 10, "hour_worth_dollars": 8})
        plan_season(on=A_DAY, at=timezone.make_aware(datetime(2026, 9, 18, 9, 30)))
        client = Client()
        client.force_login(User.objects.get(username="ruth"))
        url = reverse("season-ahead")
        yield {see: main_of(client.get(url, {"see": see}).content.decode()) for see in SEE}
        transaction.set_rollback(True)


@pytest.mark.slow
def test_every_figure_told_stands_beside_a_link_to_its_parts(pages):
    told = list(figures_told(pages[""]))

    assert len(told) > 40
    for figure, block in told:
        links = [a for a in block.all("a") if a.attrs.get("href")]
        opens = block.tag == "summary" and figure in " ".join(t.text for t in block.parent.all("tfoot"))
        assert links or opens or block.tag == "summary", (figure, block.text)


def test_three_decisions_say_what_they_pay_or_what_leaving_them_costs(pages):
    decisions = [item.text for item in next(pages[""].all("ol")).children if not isinstance(item, str)]

    assert len(decisions) == 3
    assert decisions[0].startswith("Deliver near home")
    assert "Orders 201 , 202 and 203 are promised and pay $642, or $" in decisions[0]  # as the day says
    assert "after the usual drive" in decisions[0]
    assert all("promised and pay $" in text or "costs $" in text or "Worth $" in text for text in decisions)
    assert not any("Fell and buck" in text or ".1" in text.split("cords")[0][-5:] for text in decisions)


def test_two_sums_of_the_year_say_why_they_differ(pages):
    told = next(p.text for p in pages[""].all("p") if p.text.startswith("Followed week by week"))

    assert "not knowing what comes" in told
    assert "above is the mean of eight ways" in told


def test_a_planned_days_drops_stand_with_the_driver_it_names(pages):
    fold = next(node for node in pages["who"].all("details") if node.attrs.get("id") == "who")
    theirs = {next(t.all("th")).text: next(t.all("tbody")).text for t in fold.all("table")}

    assert all(f"order {number}" in theirs["Tam"] for number in (201, 202, 203))
    assert not any(f"order {number}" in theirs["You"] for number in (201, 202, 203))


def test_the_page_says_which_far_loads_are_whole_this_week(pages):
    said = next(p.text for p in pages[""].all("p") if p.text.startswith("Far loads this week"))

    assert "none; the next is likely in the week of " in said


def test_decisions_lead_to_orders_lots_ground_and_the_log(pages):
    there = {a.attrs.get("href") for page in pages.values() for a in page.all("a")}

    assert {reverse("order", args=[203]), reverse("lot", args=["K6"]), reverse("lot", args=["K1"])} <= there
    assert any(link and link.startswith(f"{reverse('acre-sheet')}?unit=") for link in there)
    assert {reverse(name) for name in ("orders", "log", "haul", "units", "prices", "stock", "yards")} <= there


def test_a_link_to_parts_opens_the_fold_that_holds_the_figure(pages):
    links = [a for a in pages[""].all("a") if a.attrs.get("href", "").startswith("?see=")]

    assert len(links) > 12
    for link in links:
        see, _, key = link.attrs["href"].removeprefix("?see=").partition("#")
        if see == "guesses":
            continue
        there = next((node for node in pages[see].all() if node.attrs.get("id") == key), None)
        assert there is not None, link.attrs["href"]
        fold = there.within("details")
        assert fold is not None
        assert "open" in fold.attrs
        figures = [text for text in link.text.split(" to ") if number(text) is not None]
        held = [number(cell) for table in there.all("table") for row in rows_of(table, "tr") for cell in row]
        held += [
            number(c)
            for t in there.all("table")
            for p in ("tbody", "tfoot")
            for r in rows_of(t, p)
            for c in r
        ]
        for text in figures:
            cents = "." in text
            assert any(h is not None and abs(h - number(text)) <= (0.005 if cents else 0.5) for h in held), (
                link.attrs["href"], text,
            )  # fmt: skip


def test_parts_add_up_to_their_total(pages):
    tables = [(see, t) for see, page in pages.items() for t in page.all("table") if "parts" in t.classes]

    assert len(tables) > 10
    for see, table in tables:
        (total,) = rows_of(table, "tfoot")
        rows = rows_of(table, "tbody")
        for column, text in enumerate(total[1:], start=1):
            if (whole := number(text)) is not None:
                parts = [number(row[column]) or 0.0 for row in rows]
                assert sum(parts) == pytest.approx(whole, abs=0.001), (see, table.text)


def test_rows_add_up_to_their_net(pages):
    tables = [t for t in pages[""].all("table") if "across" in t.classes]

    assert len(tables) == 4  # ways, prices, guesses, weeks
    for table in tables:
        heads = [cell.text for cell in next(table.all("thead")).all("th")]
        net, first = heads.index("Net"), next(i for i, h in enumerate(heads) if h.startswith("Sold"))
        for row in rows_of(table, "tbody"):
            if row[first]:
                assert sum(number(cell) for cell in row[first:net]) == number(row[net]), row


def test_hours_of_the_weeks_add_up(pages):
    """Each week's work to its hours, the weeks to the year, and one more hour's changes to its worth."""
    page = pages["weeks"]
    told = {node.attrs.get("id") for node in page.all("h3")}

    def rows(last):
        """The table by weeks that ends with this column."""
        heads = {t: [cell.text for cell in next(t.all("thead")).all("th")] for t in page.all("table")}
        table = next(t for t, head in heads.items() if (head[0], head[-1]) == ("From", last))
        return rows_of(table, "tbody")

    assert {"money-weeks", "hours-weeks", "hour-weeks", "wood-weeks"} <= told
    hours = []
    for _, all_hours, work in rows("Work"):
        parts = [float(part.rsplit(" ", 1)[1]) for part in work.split(", ") if part[-1:].isdigit()]
        assert sum(parts) == pytest.approx(number(all_hours), abs=0.001)
        hours.append(number(all_hours))
    year = next(t for t in pages["net"].all("table") if t.attrs.get("id") == "hours")
    assert round(sum(hours)) == pytest.approx(number(rows_of(year, "tfoot")[0][1]), abs=1)
    for _, worth, _, changes in rows("What it would change"):
        parts = [number(part.rsplit(" ", 1)[1]) or 0.0 for part in changes.split("; ") if "$" in part]
        assert sum(parts) == pytest.approx(number(worth), abs=0.001)


def hours_by_step(rows):
    """Hours of each step, of rows such as "Deliver near: order 203" with their hours."""
    found = {}
    for what, spent in rows:
        step = what.split(":")[0].lower()
        found[step] = round(found.get(step, 0.0) + number(spent), 1)
    return found


def test_what_each_person_does_adds_up_to_the_weeks_hours_step_by_step(pages):
    fold = next(node for node in pages["who"].all("details") if node.attrs.get("id") == "who")
    tables = list(fold.all("table"))
    week = next(
        t for t in pages["weeks"].all("table")
        if [cell.text for cell in next(t.all("thead")).all("th")] == ["From", "Hours", "Work"]
    )  # fmt: skip
    _, all_hours, work = rows_of(week, "tbody")[0]

    given = hours_by_step(row for table in tables for row in rows_of(table, "tbody"))
    assert {next(t.all("th")).text for t in tables} == {"You", "Tam"}
    assert given == {part.rsplit(" ", 1)[0]: float(part.rsplit(" ", 1)[1]) for part in work.split(", ")}
    assert sum(number(rows_of(table, "tfoot")[0][1]) for table in tables) == pytest.approx(number(all_hours))
    assert f"Together {all_hours.removesuffix('.0 h')}" in fold.text
    links = [a.attrs["href"] for table in tables for a in next(table.all("tbody")).all("a")]
    assert all(links)
    assert reverse("order", args=[203]) in links


def test_cords_that_come_are_sold_or_left(pages):
    table = next(t for t in pages["net"].all("table") if t.attrs.get("id") == "wood")
    (_, goes, whole) = rows_of(table, "tfoot")[0]

    assert sum(number(part.rsplit(" ", 1)[0]) for part in goes.split(", ")) == pytest.approx(
        number(whole), abs=0.001
    )
