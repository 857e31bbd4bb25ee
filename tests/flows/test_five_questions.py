"""Five questions a stranger asks, each answered from a start page in at most two taps, in sight."""

import re
from datetime import date, timedelta
from html.parser import HTMLParser

import pytest
from django.contrib.auth.models import User

from firewood_site.access import order_path
from inventory.models import Business
from orders.models import Order
from tests.factories.demo import load_demo

MOST_TAPS = 2
NOT_TEXT = {"script", "style", "template", "title"}
VOID = {"br", "hr", "img", "input", "link", "meta", "source", "wbr", "datalist"}
UNSEEN = re.compile(r"\bvisually-hidden\b")


class InSight(HTMLParser):
    """A page's text and links as they stand before its eyes: outside closed folds and what is hidden."""

    def __init__(self):
        super().__init__(convert_charrefs=True)
        self.words = []
        self.links = []
        self.open = []  # the tags we are in, each with whether it hides what is in it
        self.folds = []  # of each line of a fold we are in, whether the fold is closed
        self.tapped = None

    def handle_starttag(self, tag, attrs):
        said = dict(attrs)
        if tag in VOID:
            return
        if tag == "summary" and self.open:
            self.folds.append(self.open[-1][1])
            self.open[-1] = ("details", False)  # the line of a fold is seen though the fold is closed
        hides = tag in NOT_TEXT or "hidden" in said or bool(UNSEEN.search(said.get("class") or ""))
        self.open.append((tag, hides or (tag == "details" and "open" not in said)))
        if tag == "a" and "href" in said and self.is_seen:
            self.links.append([said["href"], ""])
            self.tapped = self.links[-1]

    def handle_endtag(self, tag):
        while self.open and tag in {name for name, _ in self.open}:
            name, _ = self.open.pop()
            if name == tag:
                break
        if tag == "a":
            self.tapped = None
        if tag == "summary" and self.open and self.open[-1][0] == "details":
            self.open[-1] = ("details", self.folds.pop())

    def handle_data(self, data):
        if self.is_seen:
            self.words.append(data)
            if self.tapped:
                self.tapped[1] += data

    @property
    def is_seen(self):
        return not any(hides for _, hides in self.open)

    @property
    def text(self):
        return " ".join(" ".join(self.words).split())


@pytest.fixture
def demo(db):
    load_demo("--no-roads")


@pytest.fixture
def ruth(demo, client):
    client.force_login(User.objects.get(username="ruth"))
    return client


def answered(client, start, *taps):
    """What stands in sight after following the links whose words begin so, one after the other."""
    assert len(taps) <= MOST_TAPS
    page = seen(client, start)
    for words in taps:
        found = [href for href, text in page.links if " ".join(text.split()).startswith(words)]
        assert found, f"no link {words!r} in sight among {[text for _, text in page.links]}"
        page = seen(client, start if found[0] == "#" else joined(page.path, found[0]))
    return page.text


def seen(client, path):
    answer = client.get(path)
    assert answer.status_code == 200, path
    page = InSight()
    page.feed(answer.content.decode())
    page.path = path
    return page


def joined(path, href):
    return path.split("?")[0] + href if href.startswith("?") else href


def test_what_a_third_of_a_cord_costs_me(demo, client):
    text = answered(client, "/", "Larch Prairie")

    assert "Every price below is your price in Larch Prairie, delivery included." in text
    assert re.search(r"Seasoned fir .*?1/3 cord \$\d+", text)


def test_when_the_oak_is_dry(ruth):
    text = answered(ruth, "/seller/", "Wood")

    assert re.search(r"Bench oak .*?likely dry [A-Z][a-z]+ \d+, 2027", text)


def test_today_begins_with_what_may_be_sold_by_kind(ruth):
    """Before the tasks, in sight: it once lay in a closed fold near the end."""
    text = seen(ruth, "/seller/").text

    sale = text.index("For sale today")
    assert re.match(r"For sale today *: *[\d/ .]+ cords? [a-z]", text[sale:]), text[sale:][:200]
    assert sale < text.index("Gus Morrow owes")


def test_who_still_owes(ruth):
    assert "Gus Morrow owes $165" in answered(ruth, "/seller/")

    text = answered(ruth, "/seller/", "Sell", "Money")

    assert re.search(r"Still owed for wood delivered .*?Gus Morrow .*?\$165\.00", text)


def test_what_goes_on_first_tomorrow(ruth):
    eve = date(2026, 9, 17)
    Business.objects.update(pinned_today=eve)

    text = answered(ruth, "/seller/", "What goes on first")

    tomorrow = eve + timedelta(days=1)
    assert f"{tomorrow:%A}, September {tomorrow.day}" in text
    first = text.split("What goes on first", 1)[1]
    assert re.match(r" Marlow Finch: Fir and oak, mixed \(K5\), from the front wall back", first), first[:200]


def test_whether_september_paid(ruth):
    text = answered(ruth, "/seller/", "Worth")

    assert re.search(r"September (pays|does not pay) so far: you earned \$\d+ an hour", text)


def test_what_is_folded_away_is_not_in_sight():
    page = InSight()
    page.feed(
        '<p>seen</p><details><summary>line <a href="/a">one</a></summary>'
        '<p>folded <a href="/b">two</a></p></details>'
        "<details open><summary>wide</summary><p>open</p></details>"
        "<p hidden>gone</p><script>no</script><p>end</p>"
    )

    assert page.text == "seen line one wide open end"
    assert [href for href, _ in page.links] == ["/a"]


def test_the_demos_orders_are_read_in_spanish_without_a_word_of_english(demo, client):
    orders = Order.objects.filter(number__in=(203, 204, 205, 209))
    assert orders.count() == 4
    for order in orders:
        path = order_path(order.number, order.link_secret)

        lines = seen(client, f"{path}?lang=es").text

        assert not re.search(r"Drive|Stacking|Small rig|As agreed|seasoned|Picked up", lines), lines
