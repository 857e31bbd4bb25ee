"""Coefficients, heats and green weights as printed, beside those the rules compute with."""

import pytest

from inventory.core.figures import rule
from inventory.core.moisture import equilibrium_pct, equilibrium_pct_c
from inventory.core.species import heavy_green_pct, species_of, woods

from .published import cord_lb, row_of, rows

HEATS = {  # names of the table of heating values
    "Douglas-fir wood": "fir",
    "western hemlock wood": "hemlock",
    "western redcedar wood": "redcedar",
    "ponderosa pine wood": "ponderosa_pine",
    "black cottonwood wood": "cottonwood",
    "Oregon white oak wood": "oak",
    "red alder wood": "alder",
}
LIGHT_IN_FIA = {"fir_interior": 115, "juniper": 114}  # % dry basis of wood that was found far greener


def by_the_equation(temp, rh_pct, scale):
    """Wood Handbook eq. 4-5, worked afresh from the printed coefficients (FPL-RN-0268)."""
    printed = {
        row["coefficient"]: [
            float(row[f"{scale}_{part}"]) for part in ("constant", "times_T", "times_T_squared")
        ]
        for row in rows("emc_coefficients.csv")
    }
    w, k, k1, k2 = (
        constant + linear * temp + square * temp**2
        for constant, linear, square in (printed[name] for name in ("W", "K", "K1", "K2"))
    )
    kh = k * rh_pct / 100
    bound = (k1 * kh + 2 * k1 * k2 * kh**2) / (1 + k1 * kh + k1 * k2 * kh**2)
    return 1800 / w * (kh / (1 - kh) + bound)


@pytest.mark.parametrize("temp_f", range(-20, 131, 15))
@pytest.mark.parametrize("rh_pct", [0, 5, 33, 50, 77, 98])
def test_both_sets_of_printed_coefficients_are_the_ones_computed_with(temp_f, rh_pct):
    """Four independent copies of FPL-RN-0268 agree on them."""
    temp_c = (temp_f - 32) / 1.8

    assert equilibrium_pct(temp_f, rh_pct) == pytest.approx(by_the_equation(temp_f, rh_pct, "F"), abs=1e-9)
    assert equilibrium_pct_c(temp_c, rh_pct) == pytest.approx(by_the_equation(temp_c, rh_pct, "C"), abs=1e-9)
    assert equilibrium_pct_c(temp_c, rh_pct) == pytest.approx(equilibrium_pct(temp_f, rh_pct), abs=0.05)


@pytest.mark.parametrize(("printed", "key"), HEATS.items())
def test_a_woods_own_heat_is_the_published_range(printed, key):
    """A secondary list of the Pacific Northwest; rows nobody saw in print are estimates."""
    row = row_of("heating_values.csv", "material", printed)
    heat = species_of(key).heating_value

    if row["source"] == "M":
        assert heat.value == float(row["higher_heating_value_low_btu_per_ovendry_lb"])
        assert heat.low < heat.high
        assert heat.source.startswith("estimate")
        return
    assert heat.low == float(row["higher_heating_value_low_btu_per_ovendry_lb"])
    assert heat.high == float(row["higher_heating_value_high_btu_per_ovendry_lb"])


@pytest.mark.parametrize(
    "row",
    [row for row in rows("heating_values.csv") if row["material"].startswith("wood, ")],
    ids=lambda row: row["material"],
)
def test_general_heats_lie_in_the_range_of_wood_without_its_own(row):
    """Guides print 8,500 to 9,000 gross; 8,600 is used. Bark and resinous kinds stand above."""
    usual = rule("heat")

    assert usual.low <= float(row["higher_heating_value_low_btu_per_ovendry_lb"]) <= usual.high


@pytest.mark.parametrize(("key", "sapwood"), LIGHT_IN_FIA.items())
def test_thinnings_are_planned_as_sapwood_where_the_forest_inventory_looks_low(key, sapwood):
    """Interior Douglas-fir 35 % and western juniper 36 % in the FIA table; a load planned so would be light.

    Heavy end: the coast's sapwood (Wood Handbook table 4-1), and California's 5,410 lb of green juniper.
    """
    wood = woods()[key]

    assert wood.green_moisture_pct.low < 40
    assert heavy_green_pct({key: 100}) == sapwood
    assert cord_lb(wood, sapwood) > 5000


def test_green_juniper_on_its_heavy_end_weighs_what_california_prints():
    """California Energy Commission, 90 ft3 solid; 1 %: the moisture was worked back to a whole percent."""
    row = row_of("cord_weight_heat_cec_western_softwoods.csv", "species", "Western juniper")
    ours = cord_lb(woods()["juniper"], heavy_green_pct({"juniper": 100}), solid_ft3=90)

    assert ours == pytest.approx(float(row["lb_per_cord_green_at_90_ft3_solid"]), rel=0.01)
