"""The board in a browser: a drop dragged by mouse and asked by keys, its price said before it is let go."""

import re
from collections.abc import Callable
from typing import Any
from uuid import uuid4

import pytest
from playwright.sync_api import Page

from routing.models import Stop
from tests.browser.conftest import DESK, PHONE, fits, log_in
from tests.factories.day import FRIDAY

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
ADDRESS = f"/seller/days/{FRIDAY}"


def centred(page: Page, name: str) -> tuple[float, float]:
    """The middle of a drop's grip, in sight."""
    grip = page.get_by_role("link", name=f"Move {name}, or ask why here")
    grip.evaluate("grip => grip.scrollIntoView({block: 'center'})")
    box = grip.bounding_box()
    assert box is not None
    assert box["width"] >= 44
    assert box["height"] >= 44
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def six_drops() -> None:
    """The demo's Friday with its last drop's wood in four drops: as full and as heavy as before."""
    last = Stop.objects.select_related("order").filter(load__run__day__on=FRIDAY).order_by("begin_at").last()
    assert last is not None
    order, sequence = last.order, last.sequence
    last.cords = order.cords = last.cords / 4
    last.save(update_fields=["cords"])
    order.save(update_fields=["cords"])
    for more in (1, 2, 3):
        order.pk, order.number, order._state.adding = None, 900 + more, True
        order.key, order.link_secret = uuid4(), uuid4().hex
        order.save()
        last.pk, last.order, last.sequence, last._state.adding = None, order, sequence + more, True
        last.save()


def test_the_load_sheet_of_six_drops_is_one_page(demo: None, open_page: Callable[..., Page]) -> None:
    six_drops()
    page = open_page(size=DESK)
    log_in(page, "ruth")
    page.goto(f"{ADDRESS}/load-sheet")
    assert page.locator(".sheet").get_by_text("Pilar Ostrander").count() >= 4

    for paper in ("Letter", "A4"):
        drawn = page.pdf(format=paper, prefer_css_page_size=False)
        assert len(re.findall(rb"/Type\s*/Page\b", drawn)) == 1, paper


def test_on_a_phone_the_load_sheet_folds_its_drops_and_paper_shows_them(
    demo: None, open_page: Callable[..., Page]
) -> None:
    page = open_page(size=PHONE)
    log_in(page, "ruth")
    page.goto(f"{ADDRESS}/load-sheet")
    street = page.get_by_text("12 Mill Street", exact=False).first

    assert page.get_by_text("What goes on first").first.is_visible()
    assert not street.is_visible()

    page.evaluate("window.dispatchEvent(new Event('beforeprint'))")

    assert street.is_visible()


def test_the_load_sheets_map_is_whole_on_a_phone(demo: None, open_page: Callable[..., Page]) -> None:
    page = open_page(size=PHONE)
    log_in(page, "ruth")
    page.goto(f"{ADDRESS}/load-sheet")

    frame, drawn, box = page.evaluate(
        """() => { const map = document.querySelector('figure.map'), svg = map.querySelector('svg');
          const sides = (one) => { const {left, top, right, bottom} = one.getBoundingClientRect(); return [left, top, right, bottom]; };
          return [sides(map), sides(svg), svg.getAttribute('viewBox').split(' ').map(Number)]; }"""  # noqa: E501
    )
    left, top, right, low = drawn
    assert frame[0] <= left
    assert frame[1] <= top
    assert right <= frame[2]
    assert low <= frame[3]
    assert (right - left) / (low - top) == pytest.approx(box[2] / box[3], rel=0.02)
    fits(page)


def test_all_that_is_touched_on_the_map_of_a_phone_is_large_enough(
    demo: None, open_page: Callable[..., Page]
) -> None:
    """Pins, yards and buttons; a pin can be touched beyond its ring, and none lies over another."""
    six_drops()
    page = open_page(size=PHONE)
    log_in(page, "ruth")
    page.goto(ADDRESS)
    page.wait_for_selector(".map[data-ready]")
    page.locator(".map").scroll_into_view_if_needed()

    targets = page.evaluate(
        """() => [...document.querySelectorAll('.map .map-mark, .map .leaflet-bar a')].map((one) => {
          const box = one.getBoundingClientRect(), more = getComputedStyle(one, '::after');
          const grown = more.content === 'none' ? 0 : -2 * parseFloat(more.top);
          return [one.textContent.trim(), box.width + grown, box.height + grown,
                  one.contains(document.elementFromPoint(box.x + box.width / 2, box.y + box.height / 2))];
        })"""
    )
    assert len(targets) >= 8
    assert [one for one in targets if min(one[1:3]) < 44 or not one[3]] == []
    fits(page)


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_a_drop_is_dragged_and_let_go_after_its_price(
    demo: None,
    open_page: Callable[..., Page],
    axe: Callable[[Page], None],
    shot: Callable[..., None],
    size: Any,
) -> None:
    page = open_page(size=size)
    log_in(page, "ruth")
    page.goto(ADDRESS)
    page.wait_for_selector(".map[data-ready]")
    fits(page)
    axe(page)
    shot(page, f"board-{size['width']}")
    x, y = centred(page, "Pilar Ostrander")
    greta = page.locator("li[data-name='Greta Sool']").bounding_box()
    assert greta is not None

    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 8, y - 8, steps=3)
    page.mouse.move(greta["x"] + 60, greta["y"] + 6, steps=6)
    page.locator(".held").filter(has_text=re.compile("min|time|can't")).wait_for()
    said = page.locator(".held").inner_text()
    page.mouse.up()

    asked = page.locator("dialog.ask")
    assert re.search(r"[+−]\u2060?\$\d+\.\d\d", said)
    assert "Pilar Ostrander to Big trailer, load 2, before Greta Sool?" in asked.inner_text()
    assert re.search(r"\$\d+/h", asked.inner_text())
    axe(page)
    fits(page)
    shot(page, f"board-asked-{size['width']}")
    asked.get_by_role("link", name="Put back").click()
    assert page.locator("dialog.ask").count() == 0
    standing = Stop.objects.filter(load__run__day__on=FRIDAY, load__sequence=2).order_by("sequence")
    assert list(standing.values_list("order__number", flat=True)) == [202, 203]


def test_the_same_by_keys_and_taken_back(demo: None, open_page: Callable[..., Page]) -> None:
    before = list(Stop.objects.filter(load__run__day__on=FRIDAY).values_list("order__number", flat=True))
    page = open_page(size=DESK)
    log_in(page, "ruth")
    page.goto(ADDRESS)

    page.get_by_role("link", name="Move Greta Sool, or ask why here").focus()
    page.keyboard.press("Enter")
    asked = page.locator("dialog.ask")
    asked.get_by_role("button", name="Move there").first.focus()
    page.keyboard.press("Escape")
    assert asked.count() == 0
    assert page.evaluate("document.activeElement.classList.contains('grip')")
    page.keyboard.press("Enter")
    asked.get_by_role("button", name="Move there").first.press("Enter")
    page.wait_for_selector("text=Changed, and the times are new")
    page.get_by_role("button", name="Undo").click()

    page.wait_for_selector("text=Taken back: moved order 202.")
    after = Stop.objects.filter(load__run__day__on=FRIDAY).values_list("order__number", flat=True)
    assert sorted(after) == sorted(before)


def test_an_order_is_dragged_from_day_to_day(
    demo: None, open_page: Callable[..., Page], axe: Callable[[Page], None], shot: Callable[..., None]
) -> None:
    page = open_page(size=DESK)
    log_in(page, "ruth")
    page.goto(f"/seller/days/week?from={FRIDAY}")
    axe(page)
    grip = page.get_by_role("link", name="Move Greta Sool to another day").bounding_box()
    saturday = page.locator("[data-day='2026-09-19']").bounding_box()
    assert grip is not None
    assert saturday is not None

    page.mouse.move(grip["x"] + 20, grip["y"] + 20)
    page.mouse.down()
    page.mouse.move(grip["x"] + 30, grip["y"] + 30, steps=3)
    page.mouse.move(saturday["x"] + 60, saturday["y"] + 30, steps=6)
    page.locator(".held").filter(has_text=re.compile(r"\$")).wait_for()
    page.mouse.up()

    asked = page.locator("dialog.ask")
    assert "Greta Sool from Fri, Sep 18 to Sat, Sep 19?" in asked.inner_text()
    axe(page)
    shot(page, "week-asked-1280")
    asked.get_by_role("button", name="Move").click()
    page.wait_for_selector("text=Greta Sool is on Sat, Sep 19 now.")
    assert f"{Stop.objects.get(order__number=202).load.run.day.on}" == "2026-09-19"
