"""The first page on a slow line and a slow phone. Bounds are twice the bars: the bench tells the figures."""

import pytest

from tests.bench import first_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def test_the_shop_and_the_price_form_are_light_and_soon_usable():
    with first_page.served() as port:
        rows = first_page.measured(port)

    for row in rows:
        assert row.bytes <= first_page.BYTES, row
        assert row.requests <= first_page.REQUESTS, row
        assert row.shift == 0, row
        assert row.usable_ms < 2 * first_page.USABLE_MS, row
