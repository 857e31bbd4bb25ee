"""The first page on a slow line and a slow phone. Bounds are twice the bars: the bench tells the figures."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from tests.bench import first_page

pytestmark = [pytest.mark.browser, pytest.mark.slow]


def test_the_shop_and_the_price_form_are_light_and_soon_usable():
    with first_page.served() as port, ThreadPoolExecutor(1) as own_loop:  # the set's browser holds this one's
        rows = own_loop.submit(first_page.measured, port).result()

    for row in rows:
        assert row.bytes <= first_page.BYTES, row
        assert row.requests <= first_page.REQUESTS, row
        assert row.shift == 0, row
        assert row.usable_ms < 2 * first_page.USABLE_MS, row
