"""Bills as a seller writes them."""

from datetime import date

import pytest

from routing.season.bills import read_bills
from routing.season.problem import SeasonProblemError

TODAY = date(2026, 9, 18)


@pytest.mark.parametrize(
    ("line", "on", "dollars", "what"),
    [
        ("Nov 1, 450, new chain", date(2026, 11, 1), -450.0, "new chain"),
        ("november 1, $450", date(2026, 11, 1), -450.0, ""),
        ("Mar 2, +600.50, cost-share", date(2027, 3, 2), 600.5, "cost-share"),
        ("9/18, 20", date(2026, 9, 18), -20.0, ""),
        ("2027-01-15, 80, rent", date(2027, 1, 15), -80.0, "rent"),
        ("Feb 29, 5", date(2028, 2, 29), -5.0, ""),
    ],
)
def test_a_line_is_a_day_dollars_and_what(line, on, dollars, what):
    (bill,) = read_bills(line, today=TODAY)

    assert (bill.on, bill.dollars, bill.what) == (on, dollars, what)


@pytest.mark.parametrize(
    "line", ["soon, 450", "Nov 1", "Nov 1, much", "13/45, 20", "450, Nov 1", "Nov 1, -450"]
)
def test_a_line_that_can_not_be_read_says_how_to_write_it(line):
    with pytest.raises(SeasonProblemError, match=r"Line 2 of the bills .* such as"):
        read_bills(f"Nov 1, 450\n{line}", today=TODAY)


def test_a_million_is_a_slip():
    with pytest.raises(SeasonProblemError, match="more than a million"):
        read_bills("Nov 1, 45000000", today=TODAY)
