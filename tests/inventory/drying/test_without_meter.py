"""Dryness without a meter: ends, sound, and one marked piece weighed again."""

import pytest

from inventory.drying.without_meter import ENDS, SOUND, BadSign, Likely, seen, weighed


def test_a_piece_that_lost_only_water_gives_its_moisture_by_arithmetic():
    """10 lb at 60 % hold 6.25 lb of dry wood; at 8 lb there are 1.75 lb of water left: 28 %."""
    found = weighed(8.0, 10.0, then=Likely(low=60, likely=60, high=60))

    assert found.likely == pytest.approx(100 * (8 / (10 / 1.6) - 1))


def test_what_was_unknown_at_first_shrinks_with_the_weight_and_never_vanishes():
    vague = weighed(8.0, 10.0, then=Likely(low=45, likely=60, high=80))
    sure = weighed(8.0, 10.0, then=Likely(low=60, likely=60, high=60))

    assert vague.high - vague.likely > sure.high - sure.likely > 5  # one piece is not the heap
    assert vague.likely - vague.low < 15


@pytest.mark.parametrize(
    ("now", "then", "says"),
    [(0, 10, "more than 0"), (5, 10, "lighter than its own dry wood"), (30, 10, "more water than wood")],
)
def test_weights_that_cannot_be_are_refused_with_what_to_check(now, then, says):
    with pytest.raises(BadSign, match=says):
        weighed(now, then, then=Likely(low=55, likely=60, high=65))


def test_every_sign_has_a_range_around_its_likely_and_drier_signs_are_drier():
    assert [seen(sign).likely for sign in ENDS] == sorted((seen(sign).likely for sign in ENDS), reverse=True)
    assert [seen(sign).likely for sign in SOUND] == sorted(
        (seen(sign).likely for sign in SOUND), reverse=True
    )
    for sign in (*ENDS, *SOUND):
        assert seen(sign).low < seen(sign).likely < seen(sign).high
