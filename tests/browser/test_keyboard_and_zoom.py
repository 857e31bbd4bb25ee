"""A customer without a mouse, at twice the size, or who wants no motion."""

import pytest
from playwright.sync_api import Locator, Page, expect

from orders.models import Order
from tests.browser.conftest import fits

pytestmark = [pytest.mark.browser, pytest.mark.roads, pytest.mark.django_db(transaction=True)]

TWICE = {"width": 195, "height": 422}  # a 390 x 844 phone at 200 %
MOST_TABS = 60

SEEN_FOCUS = """() => {
  const at = document.activeElement, around = at.closest('label') || at;
  const lined = [at, around].some((one) => {
    const style = getComputedStyle(one);
    return style.outlineStyle !== 'none' && parseFloat(style.outlineWidth) >= 2;
  });
  const box = around.getBoundingClientRect();
  const top = document.elementFromPoint(box.left + box.width / 2, box.top + box.height / 2);
  const uncovered = !!top && (around.contains(top) || top.contains(around));
  return { lined, uncovered, what: at.outerHTML.slice(0, 120) };
}"""

# Words that run out of the screen or out of their own box, and things to tap that lie on one another.
CUT_OFF = """() => {
  const wide = window.innerWidth, bad = [];
  const told = (one) => one.outerHTML.slice(0, 90);
  const hidden = (one) => one.closest('.visually-hidden, .skip, [hidden]') || !one.checkVisibility();
  const rolls = (one) => one.closest('.table-wrap, .tabs');
  for (const one of document.querySelectorAll('body *')) {
    const words = [...one.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim());
    if (!words || hidden(one) || rolls(one)) continue;
    const box = one.getBoundingClientRect();
    const clips = getComputedStyle(one).overflowX !== 'visible';
    if (box.right > wide + 1 || box.left < -1) bad.push(`outside: ${told(one)}`);
    if (clips && one.scrollWidth > one.clientWidth + 1) bad.push(`cut: ${told(one)}`);
  }
  const kinds = 'a, button, input:not([type=hidden]), select, summary, .chip, .pick, .day-pick';
  const taps = [...document.querySelectorAll(kinds)].filter((one) =>
    !hidden(one) && !one.closest('.sticky-bar') && !(one.matches('input') && one.closest('label')));
  taps.forEach((one, place) => {
    const a = one.getBoundingClientRect();
    for (const other of taps.slice(place + 1)) {
      const b = other.getBoundingClientRect();
      const across = Math.min(a.right, b.right) - Math.max(a.left, b.left);
      const down = Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top);
      if (across > 2 && down > 2 && !one.contains(other)) bad.push(`covered: ${told(one)} ${told(other)}`);
    }
  });
  return bad;
}"""

MOVING = """() => [...document.querySelectorAll('*')].filter((one) => {
  const style = getComputedStyle(one);
  const ms = (part) => parseFloat(part) * (part.includes('ms') ? 1 : 1000);
  const lasts = [...style.transitionDuration.split(','), ...style.animationDuration.split(',')].map(ms);
  return Math.max(...lasts) > 20 || style.scrollBehavior === 'smooth';
}).map((one) => one.outerHTML.slice(0, 80))"""


def tab_to(page: Page, target: Locator) -> None:
    """Tab until the target has the focus; each halt on the way must be seen and lie uncovered."""
    page.wait_for_load_state()
    for _ in range(MOST_TABS):
        page.keyboard.press("Tab")
        halt = page.evaluate(SEEN_FOCUS)
        assert halt["lined"], f"focus is not seen on {halt['what']}"
        assert halt["uncovered"], f"focus is covered on {halt['what']}"
        if target.evaluate("(one) => one === document.activeElement"):
            return
    pytest.fail(f"{MOST_TABS} tabs do not reach {target}")


def radio(page: Page, name: str, value: str) -> Locator:
    return page.locator(f"input[name={name}][value='{value}']")


def test_the_whole_order_goes_by_keyboard_alone(demo, open_page):
    page = open_page("/")
    page.keyboard.press("Tab")
    assert page.evaluate("() => document.activeElement.textContent") == "Skip to the page"
    page.keyboard.press("Enter")
    tab_to(page, page.get_by_role("link", name="2/3 cord $180").first)
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("What will it cost?")

    tab_to(page, page.get_by_label("Street and number"))
    page.keyboard.type("8 orchard ro", delay=15)
    expect(page.get_by_role("option").first).to_be_visible()
    page.keyboard.press("ArrowDown")
    page.keyboard.press("Enter")
    expect(page.get_by_label("Street and number")).to_have_value("8 Orchard Road, Larch Prairie")
    tab_to(page, radio(page, "laid", "drop"))
    page.keyboard.press("ArrowRight")
    expect(radio(page, "laid", "stack")).to_be_checked()
    tab_to(page, page.locator("#total button"))
    page.keyboard.press("Enter")

    expect(page.locator(".price-head")).to_contain_text("8 Orchard Road, Larch Prairie, stacked")
    tab_to(page, page.locator("input[name=day]:checked"))
    page.keyboard.press("ArrowDown")
    tab_to(page, page.get_by_label("Your name"))
    page.keyboard.type("Tansy Orme")
    tab_to(page, page.get_by_label("Phone"))
    page.keyboard.type("541 555 0188")
    page.wait_for_timeout(1000)
    page.keyboard.press("Enter")  # from any field, as on any form

    expect(page.get_by_role("heading", level=1)).to_have_text("We have your order")
    assert Order.objects.get(customer__name="Tansy Orme").stacked


def test_at_twice_the_size_nothing_is_cut_off_or_covered(demo, open_page):
    page = open_page("/", size=TWICE, reduced_motion="reduce")

    def check() -> None:
        page.wait_for_timeout(300)  # until the page has come to rest
        assert "\n".join(page.evaluate(CUT_OFF)) == "", page.url
        fits(page)
        assert page.evaluate(MOVING) == [], page.url

    check()
    page.get_by_role("link", name="Get a price: seasoned fir").click()
    check()
    page.get_by_label("Town").select_option("Larch Prairie")
    page.locator("#total button").click()
    page.get_by_text("How we figured it").click()
    page.get_by_text("Gate, access").click()
    check()
    page.get_by_label("Street and number").fill("8 Orchard Road")
    page.get_by_label("Your name").fill("Tansy Orme")
    page.get_by_label("Phone").fill("541 555 0188")
    page.wait_for_timeout(1000)
    page.get_by_role("button", name="Place order").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("We have your order")
    check()
    page.get_by_role("link", name="Change spot, gate, day or hours").click()
    check()


def test_a_map_stands_still_for_those_who_want_no_motion(demo, open_page):
    page = open_page("/price", reduced_motion="reduce")

    page.get_by_role("button", name="Pin on the map").click()
    page.wait_for_selector(".map[data-ready] .leaflet-tile-loaded")

    assert page.locator(".leaflet-zoom-anim, .leaflet-fade-anim").count() == 0
    assert page.evaluate("() => document.getAnimations().length") == 0
