"""Figures from the world: value, range, unit, source."""

import pytest

from inventory.core.figures import BadFigure, Figure, rule, table_of

GOOD = {"value": 2.0, "low": 1.0, "high": 4.0, "unit": "ft", "source": "a book"}


def test_a_figure_without_a_range_is_its_own_range():
    figure = Figure.read({"value": 3, "unit": "ft", "source": "a book"}, "somewhere")

    assert (figure.low, figure.value, figure.high) == (3, 3, 3)


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"unit": ""}, "no unit or no source"),
        ({"source": ""}, "no unit or no source"),
        ({"low": 3.0}, "put the low first"),
        ({"high": 1.5}, "put the low first"),
    ],
)
def test_a_figure_that_is_not_whole_is_refused_by_place(change, message):
    with pytest.raises(BadFigure, match=f"figure somewhere.*{message}"):
        Figure.read(GOOD | change, "somewhere")


@pytest.mark.parametrize("name", table_of("rules.toml"))
def test_every_rule_of_the_trade_is_a_whole_figure(name):
    assert rule(name).source
