"""The air of a yard by month."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.climate import (
    BadClimate,
    cities,
    climate_from_csv,
    climate_of_city,
    own_climate,
    season_weights,
    steady_climate,
)
from inventory.core.moisture import air_for, equilibrium_pct
from tests.inventory.core.published import monthly_emc, rows

JUNE = date(2026, 6, 10)
OLDER_NAMES = {"Seattle": "Seattle-Tacoma"}


@pytest.mark.parametrize("row", rows("emc_outdoor_monthly_1981_2010.csv"), ids=lambda row: row["city"])
def test_each_citys_twelve_months_are_the_published_ones(row):
    """NC State update of FPL-RN-0268 from 1981-2010 normals."""
    air = climate_of_city(row["city"])

    assert air.emc_pct == monthly_emc(row)
    assert air.name == f"{row['city']}, {row['state']}"
    assert "1981-2010" in air.source


@pytest.mark.parametrize("row", rows("emc_outdoor_monthly_pre_1997.csv"), ids=lambda row: row["city"])
def test_older_normals_agree_with_the_newer_within_two_points(row):
    """FPL-RN-0268 (1998). A climate is known that well only; stations moved (Denver, May: 10.2, now 9.2)."""
    newer = {OLDER_NAMES.get(name, name): name for name in cities()}[row["city"]]

    for then, now in zip(monthly_emc(row), climate_of_city(newer).emc_pct, strict=True):
        assert now == pytest.approx(then, abs=2.0)


@pytest.mark.parametrize("name", cities())
def test_a_citys_months_are_the_equilibrium_of_some_real_air(name):
    """Equation 4-5 turned round: each month's value belongs to a humidity between 15 and 95 percent."""
    for emc in climate_of_city(name).emc_pct:
        humidity = air_for(emc, 55)
        assert 15 < humidity < 95
        assert equilibrium_pct(55, humidity) == pytest.approx(emc, abs=0.001)


def test_an_unchosen_climate_is_12_percent_the_year_round():
    """Example 8: E 12 %."""
    air = steady_climate()

    assert set(air.emc_pct) == {12.0}
    assert air.weight_on(JUNE) == 0.95
    assert air.emc_on(JUNE) == 12.0


def test_the_season_is_the_worked_examples():
    """Example 8: months .10 .15 .35 .55 .80 .95 1 1 .75 .35 .12 .08."""
    assert season_weights() == (0.10, 0.15, 0.35, 0.55, 0.80, 0.95, 1, 1, 0.75, 0.35, 0.12, 0.08)


def a_year(line="{month},{temp},{rh}", first="month,temp_f,rh_pct"):
    return "\n".join([first, *(line.format(month=month, temp=50 + month, rh=60) for month in range(1, 13))])


def test_a_file_of_temperature_and_humidity_becomes_a_climate():
    air = climate_from_csv(a_year(), name="Upper Yard")

    assert air.name == "Upper Yard"
    assert air.emc_pct[6] == pytest.approx(equilibrium_pct(57, 60), abs=0.006)
    assert "eq. 4-5" in air.source


def test_rows_of_a_month_are_averaged_after_the_equation():
    days = [
        "date,temp_c,rh_pct",
        *(f"2026-{month:02d}-01,10,50" for month in range(1, 13)),
        "2026-07-02,10,90",
    ]

    air = climate_from_csv("\n".join(days))

    assert air.emc_pct[0] == pytest.approx(equilibrium_pct(50, 50), abs=0.006)
    assert air.emc_pct[6] == pytest.approx((equilibrium_pct(50, 50) + equilibrium_pct(50, 90)) / 2, abs=0.006)


def test_a_spreadsheets_byte_order_mark_and_capitals_are_forgiven():
    assert climate_from_csv("\ufeff" + a_year(first="Month, Temp_F ,RH_PCT")).emc_pct


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("", "first line must name"),
        ("month,rh_pct\n1,50", "first line must name"),
        (a_year() + "\n13,50,60", "line 14, month: '13' is not 1 to 12"),
        (a_year() + "\n1,warm,60", "line 14: temp_f and rh_pct must be numbers"),
        (a_year() + "\n1,500,60", "do not happen outdoors"),
        (a_year() + "\n1,50,101", "do not happen outdoors"),
        ("month,temp_f,rh_pct\n1,50,60", "no rows for month 2, 3"),
        ("date,temp_f,rh_pct\nyesterday,50,60", "line 2, date: 'yesterday' is not like 2026-07-01"),
        ("month,temp_f,rh_pct\n" + "1" * 200_000, "line 2 is no row of a CSV file"),
    ],
)
def test_a_file_that_cannot_be_used_names_line_and_column(text, message):
    with pytest.raises(BadClimate, match=message):
        climate_from_csv(text)


@pytest.mark.parametrize(
    ("emc", "weights", "message"),
    [
        ([12] * 11, [], "there are 11"),
        ([12] * 12, [1] * 5, "twelve drying weights"),
        ([12] * 11 + [60], [], "between 1 and 35 %"),
        ([12] * 12, [0] * 12, "one must be above 0"),
    ],
)
def test_own_values_that_cannot_be_are_refused(emc, weights, message):
    with pytest.raises(BadClimate, match=message):
        own_climate(emc, weights=weights)


def test_an_unknown_city_is_refused_with_what_to_do():
    with pytest.raises(BadClimate, match="Pick one from the list, or type your own values"):
        climate_of_city("Atlantis")


@given(st.text(max_size=200))
def test_any_text_is_a_climate_or_a_sentence(text):
    with pytest.raises(BadClimate, match="This climate can't be used"):
        climate_from_csv(text)
