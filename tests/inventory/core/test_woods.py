"""What a mix is sold as, and what the words of others mean, by the one table of woods."""

import pytest

from inventory.core import woods
from inventory.core.woods import SoldWood, Wood, sold_as, wood_named


@pytest.mark.parametrize(
    ("mix", "wood"),
    [
        ({"fir": 90, "oak": 10}, Wood.FIR),
        ({"fir": 89, "oak": 11}, Wood.MIXED),
        ({"fir": 11, "oak": 89}, Wood.MIXED),
        ({"alder": 50, "oak": 40, "larch": 10}, Wood.HARDWOOD),
        ({"juniper": 60, "redcedar": 40}, Wood.FIR),
    ],
)
def test_nine_tenths_of_a_kind_are_sold_as_that_kind(mix, wood):
    assert sold_as(mix) is wood


def test_a_narrower_wood_below_a_wider_one_comes_first(monkeypatch):
    oak = SoldWood(english="oak", words=("quercus",), takes=("oak",), usual_mix={"oak": 100})
    monkeypatch.setattr(woods, "SOLD", {**woods.SOLD, "oak": oak})

    assert [sold_as(mix) for mix in ({"oak": 50, "black_oak": 50}, {"oak": 50, "alder": 50})] == [
        "oak",
        Wood.HARDWOOD,
    ]
    assert [wood_named(text) for text in ("White oak", "quercus", "tanoak", "alder")] == [
        "oak",
        "oak",
        "oak",
        Wood.HARDWOOD,
    ]
