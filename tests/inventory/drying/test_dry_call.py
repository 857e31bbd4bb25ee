"""What a lot may be called, and whether it will be dry before the rain."""

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.moisture import READY_DRY_PCT, ImpossibleMoisture
from inventory.drying.dry_call import (
    BadFaces,
    dry_before_rain,
    dry_call,
    faces_read,
    limit_for_worst,
    ready_words,
)
from inventory.drying.history import FaceReading

from .kit import dried, exactly, heap

A_DAY = date(2026, 9, 18)
FIRST_RAIN = date(2026, 10, 5)


def call(worst, *, faces=5, days_ago=1):
    return dry_call(worst_dry_pct=worst, read_on=A_DAY - timedelta(days_ago), faces=faces, on=A_DAY)


def fir(lies, start_pct=60.0):
    return dried(exactly(start_pct), heap("fir", lies))


def test_the_worst_of_five_faces_decides_and_not_the_mean():
    faces = faces_read([18, 19, 20, 21, 31], basis="dry")

    assert (faces.mean_dry_pct, faces.worst_dry_pct) == (21.8, 31)
    assert call(faces.worst_dry_pct).claim == "part_seasoned"


def test_twenty_on_a_wet_basis_is_twenty_five_on_the_pin():
    faces = faces_read([20] * 5, basis="wet")

    assert faces.worst_dry_pct == READY_DRY_PCT
    assert call(faces.worst_dry_pct).claim == "seasoned"


@pytest.mark.parametrize(
    ("worst", "claim"),
    [
        (12, "seasoned"),
        (25, "seasoned"),
        (25.1, "part_seasoned"),
        (35, "part_seasoned"),
        (35.1, "green"),
        (90, "green"),
    ],
)
def test_the_word_follows_the_worst_face(worst, claim):
    assert call(worst).claim == claim
    assert call(worst).is_backed


def test_fewer_than_five_faces_back_no_claim_of_dryness():
    few = call(20, faces=4)

    assert (few.claim, few.is_backed) == ("seasoned", False)
    assert str(few.evidence).endswith("Read five faces before you call it dry.")
    assert call(40, faces=1).is_backed
    assert "Worst of 1 fresh face 40% on the pin (29% by weight), read Sep 17, 2026." in str(
        call(40, faces=1).evidence
    )


@pytest.mark.parametrize(("days_ago", "claim"), [(45, "seasoned"), (46, "not_read"), (-1, "not_read")])
def test_a_reading_backs_a_claim_from_its_day_on_and_for_45_days(days_ago, claim):
    told = call(20, days_ago=days_ago)

    assert told.claim == claim
    assert told.is_backed is (claim == "seasoned")


def test_without_a_reading_nothing_is_claimed():
    told = dry_call(worst_dry_pct=None, read_on=None, faces=0, on=A_DAY)

    assert (told.claim, told.is_backed) == ("not_read", False)
    assert str(told.evidence) == "No fresh split tested yet."


@given(
    st.lists(st.floats(min_value=3, max_value=80), min_size=1, max_size=9), st.sampled_from(["dry", "wet"])
)
def test_the_worst_face_is_never_drier_than_the_mean(values, basis):
    faces = faces_read(values, basis=basis)

    assert faces.worst_dry_pct >= faces.mean_dry_pct - 1e-9
    assert faces.read == tuple(values)


@pytest.mark.parametrize(
    ("values", "basis", "why"),
    [
        ([], "dry", "one to 9 fresh faces, best five; there are 0"),
        ([20] * 10, "dry", "there are 10"),
        ([2], "dry", "2% on dry basis is not a reading"),
        ([201], "dry", "meters show 3 to 200"),
        ([81], "wet", "meters show 3 to 80"),
        ([float("nan")], "dry", "is not a reading"),
    ],
)
def test_faces_no_meter_shows_are_refused(values, basis, why):
    with pytest.raises(BadFaces, match=why):
        faces_read(values, basis=basis)


def test_a_basis_must_be_said():
    with pytest.raises(ImpossibleMoisture, match="basis named 'pin'"):
        faces_read([20], basis="pin")


@pytest.mark.parametrize(
    ("likely", "words"),
    [
        (None, "not dry within three years"),
        (A_DAY, "ready now"),
        (date(2026, 8, 16), "ready now"),
        (date(2026, 10, 4), "likely dry Oct 4"),
        (date(2027, 1, 5), "likely dry Jan 5, 2027"),
        (date(2028, 4, 12), "likely dry Apr 12, 2028"),
    ],
)
def test_the_day_it_is_likely_dry_has_a_year_unless_it_is_this_one(likely, words):
    assert str(ready_words(likely, A_DAY)) == words


@pytest.mark.parametrize(
    ("lies", "is_yes", "words"),
    [
        ("row", True, "Should be dry before the rain"),
        ("low_heap", False, "Probably dry before the rain, but not for sure"),
        ("deep_heap", False, "Won’t be dry before the rain"),
    ],
)
def test_before_the_first_rain_is_answered_yes_or_no_with_a_chance(lies, is_yes, words):
    """Example 8's three lots of fir: 16 August, 8 September and 12 April."""
    answer = dry_before_rain(fir(lies), first_rain=FIRST_RAIN)

    assert answer.is_yes is is_yes
    assert str(answer.text) == f"{words} ({round(answer.chance * 100)}% chance)."


def test_nothing_short_of_certain_is_called_certain():
    nearly = dry_before_rain(fir("row"), first_rain=date(2027, 8, 1))

    assert nearly.chance > 0.99
    assert "100 chances" not in str(nearly.text) or nearly.chance == pytest.approx(1, abs=1e-9)


def test_the_limit_of_the_mean_leaves_room_for_the_worst_face():
    spread = FaceReading(on=A_DAY, mean_pct=28, worst_pct=33)
    older = FaceReading(on=A_DAY - timedelta(30), mean_pct=40, worst_pct=60)

    assert limit_for_worst([]) == READY_DRY_PCT
    assert limit_for_worst([spread, older]) == limit_for_worst([older, spread]) == 20


@given(
    air=st.floats(8, 20),
    mean=st.floats(21, 80),
    gap=st.floats(0, 40),
)
def test_at_the_limit_in_steady_air_the_worst_face_has_just_come_to_the_ready_line(air, mean, gap):
    """Both fall by the same rule M = E + (M0 - E) exp(-x), so the same x brings both to their limits."""
    limit = limit_for_worst([FaceReading(on=A_DAY, mean_pct=mean, worst_pct=mean + gap)], air_pct=air)
    passed = (limit - air) / (mean - air)

    assert air + (mean + gap - air) * passed == pytest.approx(READY_DRY_PCT)
    assert limit <= READY_DRY_PCT + 1e-9


def test_wood_as_dry_as_its_air_keeps_its_gap():
    at_rest = FaceReading(on=A_DAY, mean_pct=16, worst_pct=28)

    assert limit_for_worst([at_rest], air_pct=17) == READY_DRY_PCT - 12
