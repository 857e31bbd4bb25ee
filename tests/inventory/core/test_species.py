"""Weights and heats of woods against published tables; every tolerance says why it is as wide as it is."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.core.moisture import most_water_pct
from inventory.core.species import (
    BadMix,
    UnknownWood,
    check_mix,
    cord_weight_lb,
    dollars_per_million_btu,
    gross_btu,
    heavy_green_pct,
    mix_words,
    oven_dry_lb,
    plan_weight_lb,
    shrinkage_to_pct,
    slowest_wood,
    useful_btu,
    woods,
)
from tests.inventory.core.published import cord_lb, density_of, net_btu, rows

FIR, MADRONE, OAK = {"fir": 100}, {"madrone": 100}, {"oak": 100}
KEYS = {species.name: key for key, species in woods().items()}
AIR_DRY, READY = 12, 25  # % dry basis

UTAH = {
    "Alder": "alder",
    "Ash, White": "white_ash",
    "Beech": "beech",
    "Cedar, Red": "redcedar",
    "Cherry": "black_cherry",
    "Cottonwood": "cottonwood",
    "Douglas-fir": "fir",
    "Elm, American": "elm",
    "Fir, White": "white_fir",
    "Juniper, Rocky Mountain": "juniper",
    "Maple, Other": "sugar_maple",
    "Oak, Red": "red_oak",
    "Oak, White": "white_oak",
    "Pine, Ponderosa": "ponderosa_pine",
    "Pine, White": "white_pine",
}
CALIFORNIA = {
    "Western larch": "larch",
    "Douglas-fir": "fir",
    "Western juniper": "juniper",
    "Western hemlock": "hemlock",
    "Lodgepole pine": "lodgepole_pine",
    "Ponderosa pine": "ponderosa_pine",
    "Red fir": "red_fir",
    "White fir": "white_fir",
    "Grand fir": "grand_fir",
}
CALIFORNIA_RANGE = {
    "Alder, red": "alder",
    "Aspen": "aspen",
    "Cedar, incense": "incense_cedar",
    "Cedar, western red": "redcedar",
    "Cherry": "black_cherry",
    "Douglas-fir": "fir",
}
OREGON = {
    "Douglas-fir": "fir",
    "Western larch": "larch",
    "Engelmann spruce": "spruce",
    "Western hemlock": "hemlock",
    "Grand fir": "grand_fir",
    "California red fir": "red_fir",
}


def paired(table, names):
    return [
        pytest.param(row, woods()[names[row["species"]]], id=row["species"])
        for row in rows(f"{table}.csv")
        if row["species"] in names
    ]


# --- worked examples ---------------------------------------------------------------------------------------


def test_the_planning_weights_of_the_three_woods_come_out_of_the_data():
    """2,400, 3,100 and 3,400 oven-dry lb a cord: specific gravity x 62.4 x 85, to the nearest hundred."""
    assert [oven_dry_lb(wood) for wood in (FIR, MADRONE, OAK)] == [2400, 3100, 3400]


def test_a_cord_of_fir_at_twenty_weighs_2880_and_the_published_figures_stand_11_percent_apart():
    """Utah State Extension 2,970; Oregon State EC 1127 3,308: hence the planning factor."""
    assert cord_weight_lb(FIR, 20) == pytest.approx(2880)
    assert round(3308 / 2970, 2) == 1.11
    assert cord_weight_lb(FIR, 20) < 2970 < 3308 <= plan_weight_lb(FIR, 26)


@pytest.mark.parametrize(
    ("mix", "moisture", "weight", "planned"),
    [
        ({"fir": 60, "oak": 40}, {"fir": 45, "oak": 60}, 4264, 4690.4),
        ({"fir": 30, "oak": 70}, {"fir": 45, "oak": 60}, 4852, 5337.2),
        ({"oak": 100}, 70, 5780, 6358),
    ],
)
def test_mixed_loads_weigh_what_example_2_prints(mix, moisture, weight, planned):
    assert cord_weight_lb(mix, moisture) == pytest.approx(weight)
    assert plan_weight_lb(mix, moisture) == pytest.approx(planned)


@pytest.mark.parametrize(
    ("payload", "mix", "moisture", "most"),
    [
        (5100, {"fir": 30, "oak": 70}, {"fir": 45, "oak": 60}, 0.955),  # cut, not rounded: 0.9556
        (5100, {"oak": 100}, 70, 0.802),
        (569.2, {"fir": 100}, 20, 0.179),
        (2090, {"oak": 100}, 70, 0.328),
    ],
)
def test_a_payload_carries_the_cords_example_2_prints(payload, mix, moisture, most):
    assert payload / plan_weight_lb(mix, moisture) == pytest.approx(most, abs=0.001)


def test_half_cords_on_the_small_rig_weigh_what_example_2_prints():
    half = Fraction(1, 2)

    assert plan_weight_lb(FIR, 20, cords=half) == pytest.approx(1584)
    assert plan_weight_lb(OAK, 70, cords=half) == pytest.approx(3179)


@pytest.mark.parametrize(
    ("mix", "price", "million", "dollars"),
    [(FIR, 260, 14.04, "18.51"), (MADRONE, 350, 18.14, "19.29"), (OAK, 350, 19.90, "17.59")],
)
def test_heat_and_its_price_are_what_example_10_prints(mix, price, million, dollars):
    """At 20 %, a stove of 70 percent, and 8,600 Btu per oven-dry lb of every wood, as the example says.

    Oak is printed 19.90: 19.8968 unrounded, fir 14.0448.
    """
    assert useful_btu(mix, 20, btu_per_lb=8600) / 1e6 == pytest.approx(million, abs=0.006)
    assert dollars_per_million_btu(mix, 20, Decimal(price), btu_per_lb=8600) == Decimal(dollars)


def test_a_cord_of_oak_heats_as_1_42_cords_of_fir_by_one_heat_and_1_33_by_its_own():
    """Oak's own 8,110 Btu a lb takes 6 % off what the example's 8,600 for every wood gives."""
    assert round(useful_btu(OAK, 20, btu_per_lb=8600) / useful_btu(FIR, 20, btu_per_lb=8600), 2) == 1.42
    assert round(useful_btu(OAK, 20) / useful_btu(FIR, 20), 2) == 1.33
    assert useful_btu(OAK, 20) / 1e6 == pytest.approx(18.73, abs=0.005)


def test_a_mix_heats_as_its_parts():
    mixed = useful_btu({"fir": 60, "oak": 40}, 20)

    assert mixed == pytest.approx(0.6 * useful_btu(FIR, 20) + 0.4 * useful_btu(OAK, 20))


def test_wet_fir_in_a_poor_fire_gives_a_third_less():
    """Example 10: fir at 60 percent, a stove of 50: 9.46, a third less."""
    wet = useful_btu(FIR, 60, stove=0.50)

    assert wet / 1e6 == pytest.approx(9.46, abs=0.005)
    assert 1 - wet / useful_btu(FIR, 20) == pytest.approx(1 / 3, abs=0.01)


# --- outside tables ----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "row", rows("density_check_vectors.csv"), ids=lambda row: f"{row['species']}-{row['mc_pct_dry_basis']}"
)
def test_density_follows_the_wood_handbooks_equations(row):
    """Wood Handbook FPL-GTR-282 eqs. 4-9, 4-11 and 4-14, reckoned apart from this code, to the last digit."""
    species, moisture = woods()[KEYS[row["species"]]], float(row["mc_pct_dry_basis"])

    assert shrinkage_to_pct(species.shrinkage_pct.value, moisture) == pytest.approx(
        float(row["shrinkage_to_mc_pct"]), abs=0.0006
    )
    assert density_of(species, moisture) == pytest.approx(float(row["density_lb_per_ft3"]), abs=0.0006)
    assert cord_lb(species, moisture) == pytest.approx(
        float(row["lb_per_cord_at_85_ft3_solid_measured_at_that_mc"]), abs=0.6
    )


@pytest.mark.parametrize(("row", "species"), paired("cord_weight_heat_usu", UTAH))
def test_dry_cords_weigh_what_utah_state_prints_within_12_percent(row, species):
    """Utah State University Extension, Wood Heating, table 1; its dry weights fit 20 % wet basis.

    12 %: published weights of one wood differ by 11 %, and solid wood in a cord runs from 70 to 90 ft3.
    White fir stands 17 % lower in that table than its Handbook gravity of 0.37 allows, so it has its own.
    """
    tolerance = 0.17 if species.key == "white_fir" else 0.12

    found = species.specific_gravity.value * 62.4 * 85 * (1 + READY / 100)

    assert found == pytest.approx(float(row["lb_per_cord_dry"]), rel=tolerance)


@pytest.mark.parametrize(("row", "species"), paired("cord_weight_heat_usu", UTAH))
def test_heat_from_utah_states_own_weights_is_what_it_prints_within_2_percent(row, species):
    """The table takes one heat for all woods, near 6,950 Btu per lb at 20 % wet basis = 8,690 oven-dry.

    Our own heat lies within 24 %: it takes our gravity, and its own heating value for each wood.
    2 %: digits are rounded. Beech, red cedar and white pine come from another source and do not fit: 11 %.
    """
    tolerance = 0.11 if row["species"] in ("Beech", "Cedar, Red", "Pine, White") else 0.02

    of_dry_weight = float(row["lb_per_cord_dry"]) / (1 + READY / 100) * 8690 / 1e6

    assert of_dry_weight == pytest.approx(float(row["million_btu_per_cord"]), rel=tolerance)
    assert gross_btu(species) / 1e6 == pytest.approx(float(row["million_btu_per_cord"]), rel=0.24)


def test_fir_heats_what_utah_state_prints_within_2_percent():
    """20.7 million Btu a cord, gross; ours 20.5 (formulas beside the reference tables)."""
    assert gross_btu(woods()["fir"]) / 1e6 == pytest.approx(20.7, rel=0.02)
    assert gross_btu(woods()["fir"]) / 1e6 == pytest.approx(20.5, abs=0.05)


@pytest.mark.parametrize(("row", "species"), paired("cord_weight_heat_cec_western_softwoods", CALIFORNIA))
def test_air_dry_softwoods_weigh_what_california_prints_within_4_percent(row, species):
    """California Energy Commission table at 90 ft3 solid; its dry is air-dry, 12 % moisture."""
    found = cord_lb(species, AIR_DRY, solid_ft3=90)

    assert found == pytest.approx(float(row["lb_per_cord_dry_at_90_ft3_solid"]), rel=0.04)


@pytest.mark.parametrize(("row", "species"), paired("cord_weight_heat_cec_western_softwoods", CALIFORNIA))
def test_californias_heat_is_12_percent_and_more_above_ours_and_the_reason_shows(row, species):
    """It multiplies air-dry weight by some 8,600 Btu that belongs to an oven-dry lb (ponderosa: 9,100)."""
    printed = float(row["million_btu_per_cord_at_90_ft3_solid"]) * 1e6
    per_air_dry_lb = printed / float(row["lb_per_cord_dry_at_90_ft3_solid"])

    assert per_air_dry_lb == pytest.approx(8650, rel=0.02)
    assert 1.10 < printed / gross_btu(species, solid_ft3=90) < 1.26


@pytest.mark.parametrize(("row", "species"), paired("cord_weight_heat_cec_range", CALIFORNIA_RANGE))
def test_californias_range_of_dry_weights_is_ours_from_70_to_90_solid_within_5_percent(row, species):
    """Its low and high are the same wood in a loose cord of 70 and a tight one of 90 ft3 solid."""
    assert cord_lb(species, AIR_DRY, solid_ft3=70) == pytest.approx(
        float(row["lb_per_cord_dry_low"]), rel=0.05
    )
    assert cord_lb(species, AIR_DRY, solid_ft3=90) == pytest.approx(
        float(row["lb_per_cord_dry_high"]), rel=0.05
    )


@pytest.mark.parametrize(("row", "species"), paired("shipping_weight_osu", OREGON))
def test_air_dry_density_is_oregon_states_within_12_percent(row, species):
    """Oregon Wood Innovation Center; their gravities differ by up to 0.03 and moisture is not said."""
    low, high = density_of(species, AIR_DRY) * 0.92, density_of(species, 20) * 1.06

    assert low <= float(row["air_dry_lb_per_ft3"]) <= high


@pytest.mark.parametrize(("row", "species"), paired("shipping_weight_osu", OREGON))
def test_green_density_lies_between_heartwood_and_sapwood(row, species):
    """Published green weights of one wood disagree by half: ours is a range, planned on its heavy end."""
    low = density_of(species, species.green_moisture_pct.low)
    high = density_of(species, species.green_moisture_pct.high)

    assert low * 0.99 <= float(row["green_lb_per_ft3"]) <= high * 1.01


def test_green_fir_is_planned_on_the_heavy_figure():
    """3,319 (Utah), 3,655 (Oregon), 3,930-5,050 (California): small thinnings are sapwood, 115 %: 5,132."""
    green = heavy_green_pct(FIR)

    assert green == 115
    assert cord_lb(woods()["fir"], green) == pytest.approx(5132, abs=1)


@pytest.mark.parametrize("row", rows("heat_vs_moisture.csv"), ids=lambda row: row["mc_pct_dry_basis"])
def test_moisture_takes_the_heat_an_engineering_page_prints(row):
    """Energy left of oven-dry wood's by volume and by weight; 2 points, its figures being rounded."""
    fir, moisture = woods()["fir"], float(row["mc_pct_dry_basis"])

    left = 100 * net_btu(fir, moisture) / net_btu(fir, 0)

    assert left == pytest.approx(float(row["energy_per_volume_pct_of_ovendry"]), abs=2)
    assert left / (1 + moisture / 100) == pytest.approx(float(row["energy_per_weight_pct_of_ovendry"]), abs=2)


def test_the_plain_rule_of_useful_heat_stays_within_2_percent_of_the_reference_formula():
    """Both as shares of oven-dry wood's heat: 1,200 Btu per lb of water against 1,050 and the hydrogen's."""
    fir = woods()["fir"]
    for moisture in (0, 10, 20, 40, 60, 100):
        plain = useful_btu(FIR, moisture) / useful_btu(FIR, 0)
        assert plain == pytest.approx(net_btu(fir, moisture) / net_btu(fir, 0), abs=0.02)


# --- the table itself --------------------------------------------------------------------------------------


def test_there_are_34_kinds_and_each_published_row_is_one_of_them():
    assert len(woods()) >= 34
    assert {row["species"] for row in rows("wood_properties.csv")} <= set(KEYS)


@pytest.mark.parametrize("row", rows("wood_properties.csv"), ids=lambda row: row["species"])
def test_each_kind_has_the_published_gravity_and_moisture(row):
    """Handbook where printed, else the FIA table; the two agree within 0.01."""
    species = woods()[KEYS[row["species"]]]
    handbook = row["specific_gravity_green_basis_whb"]
    fia = float(row["specific_gravity_green_basis_fia"])

    assert species.specific_gravity.value == float(handbook or fia)
    assert abs(species.specific_gravity.value - fia) <= 0.0101
    assert species.green_moisture_pct.low <= float(row["green_mc_wood_pct_dry_basis_fia"])
    if row["shrinkage_volumetric_pct"]:
        assert species.shrinkage_pct.value == float(row["shrinkage_volumetric_pct"])


@pytest.mark.parametrize("key", woods())
def test_no_kind_is_greener_than_wood_can_be(key):
    species = woods()[key]

    assert species.green_moisture_pct.high <= most_water_pct(species.specific_gravity.value)


def test_a_mix_is_as_slow_as_its_slowest_wood():
    assert slowest_wood({"fir": 60, "oak": 40}).key == "oak"
    assert slowest_wood({"fir": 60, "redcedar": 40}).key == "fir"


@pytest.mark.parametrize(
    ("mix", "message"),
    [({}, "at least one"), ({"fir": 60}, "add up to 60%"), ({"fir": 110, "oak": -10}, "leave it out")],
)
def test_a_mix_that_does_not_add_up_is_refused(mix, message):
    with pytest.raises(BadMix, match=message):
        check_mix(mix)


def test_an_unknown_wood_is_refused():
    with pytest.raises(UnknownWood, match="pick a wood from the list"):
        check_mix({"teak": 100})


def test_mixes_are_said_the_way_people_say_them():
    assert str(mix_words({"madrone": 100})) == "Pacific madrone"
    assert str(mix_words({"oak": 40, "fir": 60})) == "60% Douglas-fir, 40% Oregon white oak"


@given(st.sampled_from(sorted(woods())), st.floats(0, 150), st.floats(0, 150))
def test_wetter_wood_weighs_more_and_heats_less(key, one, other):
    drier, wetter = sorted((one, other))
    mix = {key: 100}

    assert cord_weight_lb(mix, drier) <= cord_weight_lb(mix, wetter)
    assert useful_btu(mix, drier) >= useful_btu(mix, wetter)
    assert density_of(woods()[key], drier) <= density_of(woods()[key], wetter) + 1e-9
