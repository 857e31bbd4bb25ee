"""A morning logged in the woods: few taps, no signal, and in the books once when it is back."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from PIL import Image
from playwright.sync_api import Page, expect

from inventory.models import LoggedWork, Lot, Photo, WorkEntry
from tests.browser.conftest import chip, log_in
from tests.browser.test_no_signal import KEPT_PAGES, NO_SIGNAL, until
from tests.factories.inventory import make_lot, make_yard
from tests.factories.routing import make_rig

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def woods(business: Any, seller: Any, open_page: Any) -> Page:
    """Ruth's phone with Today open once, before she walks out of signal."""
    yard = make_yard(name="Siding Yard")
    make_rig(name="Big trailer", home_yard=yard)
    make_lot(code="K2", name="Knob fir rounds", cords=3, form="rounds", split_on=None, yard=yard)
    open_page.expected.extend([NO_SIGNAL, "ERR_FAILED"])
    page = open_page("/log-in")
    log_in(page, "ruth")
    page.goto("/seller/")
    page.wait_for_selector('body[data-offline="1"]')
    until(lambda: "/seller/log" in page.evaluate(KEPT_PAGES), "the sheet is kept")
    return page


def lose_signal(page: Page) -> None:
    page.context.route("**/seller/log", lambda route: route.abort())
    page.context.set_offline(True)


def find_signal(page: Page) -> None:
    page.context.unroute("**/seller/log")
    page.context.set_offline(False)


def test_a_morning_is_logged_in_six_taps_without_signal_and_counts_once(woods):
    lose_signal(woods)
    taps = [
        lambda: woods.get_by_role("link", name="Log it").first.click(),
        lambda: chip(woods, "Split").click(),
        lambda: chip(woods, "K2 Knob fir rounds").click(),
        lambda: chip(woods, "a morning").click(),
        lambda: woods.get_by_role("button", name="Log it").click(),
    ]
    assert len(taps) <= 6
    for place, tap in enumerate(taps):
        if place == len(taps) - 1:
            woods.get_by_label("Or cords").fill("5/6")  # the one typed field
        tap()

    expect(woods.locator("#main > .note").filter(has_text="Kept on this phone")).to_be_visible()
    expect(woods.locator("#queue li")).to_contain_text("work logged")
    expect(woods.locator("#signal")).to_have_text("1 kept on this phone, no signal")
    woods.goto("/seller/wood")  # any page of hers: the sheet is what is there without signal
    expect(woods.get_by_role("heading", level=1)).to_have_text("Log it")
    assert not LoggedWork.objects.exists()

    find_signal(woods)
    expect(woods.locator("#queue li")).to_have_count(0)
    expect(woods.locator("#signal")).to_have_text("")
    woods.goto("/seller/log")
    woods.get_by_text("Last work").click()
    expect(woods.get_by_text("Split, lot K2b, 5/6 cord, about 4 h").first).to_be_attached()

    assert LoggedWork.objects.count() == 1
    assert WorkEntry.objects.get().hours_likely == Decimal(4)
    assert Lot.objects.get(code="K2b").on_hand_cords == Fraction(5, 6)


def test_a_photo_taken_without_signal_follows_its_sheet(woods, tmp_path):
    picture = tmp_path / "heap.jpg"
    Image.new("RGB", (60, 40), "brown").save(picture)
    lose_signal(woods)
    woods.get_by_role("link", name="Log it").first.click()
    chip(woods, "Cover").click()
    chip(woods, "K2 Knob fir rounds").click()
    chip(woods, "an hour").click()
    woods.locator("#id_photo").set_input_files(picture)
    woods.get_by_role("button", name="Log it").click()
    expect(woods.locator("#queue li")).to_have_count(2)

    find_signal(woods)
    expect(woods.locator("#queue li")).to_have_count(0)

    assert [photo.about for photo in Photo.objects.all()] == ["lot K2"]
    assert LoggedWork.objects.get().photo is not None


def test_what_the_books_refuse_is_said_on_the_sheet_and_nothing_typed_is_lost(woods):
    woods.get_by_role("link", name="Log it").first.click()
    chip(woods, "Split").click()
    chip(woods, "K2 Knob fir rounds").click()
    chip(woods, "a morning").click()
    woods.get_by_label("Or cords").fill("9")
    woods.get_by_role("button", name="Log it").click()

    expect(woods.get_by_role("alert")).to_contain_text("K2")
    assert woods.get_by_label("Or cords").input_value() == "9"
    woods.get_by_label("Or cords").fill("1")
    woods.get_by_role("button", name="Log it").click()

    expect(woods.locator("#main > .note").filter(has_text="Split, lot K2b, 1 cord")).to_be_visible()
    assert WorkEntry.objects.count() == 1


def test_what_is_refused_later_waits_on_the_phone_to_be_put_right(woods):
    lose_signal(woods)
    woods.get_by_role("link", name="Log it").first.click()
    chip(woods, "Split").click()
    chip(woods, "K2 Knob fir rounds").click()
    woods.get_by_label("Or write it").fill("a while")
    woods.get_by_role("button", name="Log it").click()
    expect(woods.locator("#queue li")).to_contain_text("work logged")

    find_signal(woods)
    expect(woods.locator("#queue li")).to_contain_text("'a while' is no time worked")
    woods.get_by_role("button", name="Correct it").click()
    assert woods.get_by_label("Or write it").input_value() == "a while"
    woods.get_by_label("Or write it").fill("2 to 3 h")
    woods.get_by_role("button", name="Log it").click()

    expect(woods.locator("#main > .note").filter(has_text="Split, lot K2, about 2.5 h")).to_be_visible()
    assert WorkEntry.objects.get().hours_likely == Decimal("2.5")


def test_a_new_heap_by_tape_and_a_load_on_top_are_kept_without_signal_and_count_once(woods):
    """What was the pages Measure and New lot is the one sheet, and needs no more signal than it."""
    lose_signal(woods)
    woods.get_by_role("link", name="Log it").first.click()
    chip(woods, "Measure").click()
    chip(woods, "a new heap").click()
    woods.get_by_label("Kind of tree").select_option("fir")
    woods.get_by_label("What it is").select_option("rounds")
    woods.get_by_text("By tape").click()
    chip(woods, "Long heap").click()
    woods.get_by_label("Its sizes").fill("24 x 10 x 5")
    woods.get_by_role("button", name="Log it").click()
    expect(woods.locator("#queue li")).to_have_count(1)
    chip(woods, "Measure").click()
    chip(woods, "K2 Knob fir rounds").click()
    woods.get_by_label("Or cords").fill("1/2")
    woods.get_by_text("more wood: add it to the lot").click()
    woods.get_by_role("button", name="Log it").click()
    expect(woods.locator("#queue li")).to_have_count(2)

    find_signal(woods)
    expect(woods.locator("#queue li")).to_have_count(0)
    woods.goto("/seller/log")

    heap = Lot.objects.exclude(code="K2").get()
    assert (heap.form, heap.on_hand_cords) == ("rounds", Fraction("2.59"))
    assert heap.measurements.get().sizes == {"length": 24.0, "width": 10.0, "height": 5.0}
    assert Lot.objects.get(code="K2").on_hand_cords == Fraction("3.5")
    assert LoggedWork.objects.count() == 2


def test_the_answer_of_a_measured_load_is_in_sight_while_it_is_typed(woods):
    woods.goto("/seller/log?steps=measure&lot=K2")
    woods.get_by_text("By tape").click()
    chip(woods, "Trailer").click()
    woods.get_by_label("Its sizes").fill("12 x 6 x 2 + 1")

    answer = woods.locator("#found .price")
    expect(answer).to_have_text("0.97 cord")
    box = answer.bounding_box()
    assert box["y"] > 0
    assert box["y"] + box["height"] < 844
