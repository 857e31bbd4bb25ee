"""What an address or a hidden field says is read without trusting it."""

import pytest
from django.http import Http404

from firewood_site.seller.query_values import index_of_query, page_of_query, place_of_query, row_of_query

WRONG = ["", "-1", "x", "²", "99999999999999999999", "9" * 5000]


@pytest.mark.parametrize("text", WRONG)
def test_what_no_column_holds_names_no_row_and_no_place(text):
    assert (row_of_query(text), index_of_query(text), page_of_query(text)) == (0, None, 1)
    for place in (f"{text}:1", f"run{text}:1", f"4:{text}"):
        with pytest.raises(Http404):
            place_of_query(place)


def test_rows_pages_and_places_are_read():
    assert (row_of_query("7"), index_of_query("0"), page_of_query("12")) == (7, 0, 12)
    assert (place_of_query("4:2"), place_of_query("run3:1")) == ((4, None, 2), (None, 3, 1))
