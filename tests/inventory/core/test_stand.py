"""Cords an acre from trees counted on plots, against a published worked example and published equations."""

import csv
from math import log10, pi, sqrt
from statistics import mean, stdev

import pytest

from inventory.core import local
from inventory.core.figures import table_of
from inventory.core.local import Local
from inventory.core.measure import solid_per_cord
from inventory.core.stand import BadPlots, cords_in_tree, plot_size, plots_here, stand_estimate, with_unit
from tests.inventory.core.published import FOLDER

TENTH_ACRE = "37 ft"


def test_the_published_example_gives_its_cords_an_acre():
    """3 trees of 5 in, 2 of 8, one of 10 and one of 12 on a tenth of an acre: 0.81 cords, 8.1 an acre.

    Source: University of New Hampshire Cooperative Extension, Estimating Firewood from Standing Trees.
    """
    seen = stand_estimate(TENTH_ACRE, "hardwood 5 5 5 8 8 10 12")

    assert seen.whole.likely == pytest.approx(8.1, rel=0.02)  # a circle of 37 ft is 0.0987 acre
    assert seen.trees == pytest.approx(70, rel=0.02)


def test_the_table_is_the_printed_one():
    with (FOLDER / "trees_per_cord_by_dbh.csv").open() as file:
        for row in csv.DictReader(file):
            assert cords_in_tree(float(row["dbh_in"])) == pytest.approx(float(row["cords_per_tree"]))


def douglas_fir_ft3(inches, feet):
    """Cubic feet of a Douglas-fir's whole stem.

    Source: Brackett 1977, Notes on tarif tree-volume computation, Washington DNR report 24, as in the volume
    equations of the California Air Resources Board's forest protocol (2015).
    """
    d, h = log10(inches), log10(feet)
    return 10 ** (-3.21809 + 0.04948 * h * d - 0.15664 * d**2 + 2.02132 * d + 1.63408 * h - 0.16185 * h**2)


@pytest.mark.parametrize(
    ("inches", "feet"), [(6, 45), (7, 50), (8, 55), (9, 58), (10, 62), (12, 68), (14, 75), (16, 80), (18, 85)]
)
def test_a_fir_by_a_published_equation_lies_within_the_tables_error(inches, feet):
    """Fir at usual heights gives 0 to 26 percent less than the table, made for Lake States trees."""
    cords = douglas_fir_ft3(inches, feet) / solid_per_cord().value
    error = table_of("stand.toml")["table_error"]["share"]

    assert cords == pytest.approx(cords_in_tree(inches), rel=error + 0.01)


def test_a_published_hardwood_tree_lies_near_the_table():
    """12 in and 60 ft: about a third of a cord (Maryland DNR, after The Forestry Source, December 2004)."""
    assert cords_in_tree(12) == pytest.approx(0.33, rel=0.15)


def test_larger_trees_never_hold_less():
    sizes = [1 + i / 4 for i in range(120)]
    cords = [cords_in_tree(size) for size in sizes]

    assert cords == sorted(cords)


@pytest.mark.slow
def test_the_band_is_students_t_over_the_plots_and_the_tables_error():
    stats = pytest.importorskip("scipy.stats")
    plots = ["fir 6 6 8", "fir 8", "fir 5 9 10", "fir 7 7"]
    acre = 43_560 / (pi * 37**2)
    each = [acre * sum(cords_in_tree(float(d)) for d in plot.split()[1:]) for plot in plots]
    t = stats.t.ppf(0.9, len(each) - 1)
    off = sqrt((t * stdev(each) / 2) ** 2 + (0.25 * mean(each)) ** 2)

    seen = stand_estimate(TENTH_ACRE, "\n".join(plots))

    assert seen.whole.likely == pytest.approx(mean(each))
    assert seen.whole.high - seen.whole.likely == pytest.approx(off, rel=1e-3)


def test_the_t_values_are_students():
    stats = pytest.importorskip("scipy.stats")
    for freedom, value in enumerate(table_of("stand.toml")["t_80"]["values"], start=1):
        assert value == pytest.approx(stats.t.ppf(0.9, freedom), abs=0.001)


def test_a_prism_counts_each_tree_by_its_basal_area():
    seen = stand_estimate("prism 20", "fir 8 12\nfir 10")

    assert seen.trees == pytest.approx((20 / (pi / 576) * (1 / 64 + 1 / 144 + 1 / 100)) / 2)


def test_prism_and_circles_agree_on_an_even_stand():
    """A stand of 100 trees of 9 in an acre: 10 on a tenth acre, 2.2 through a prism of 20."""
    circle = stand_estimate("37.24 ft", "fir " + "9 " * 10).whole.likely
    prism = stand_estimate("prism 20", "\n".join(["fir 9 9"] * 4 + ["fir 9 9 9"])).whole.likely

    assert circle == pytest.approx(prism, rel=0.02)


def test_an_empty_plot_counts():
    one, two = (stand_estimate(TENTH_ACRE, text).whole.likely for text in ("fir 8 8", "fir 8 8\nnone"))

    assert two == pytest.approx(one / 2)


def test_trees_are_sold_as_what_they_are():
    seen = stand_estimate(TENTH_ACRE, "Douglas-fir 8; oak 8 8; Madrone 8")

    assert seen.by_wood["hardwood"] == pytest.approx(3 * seen.by_wood["fir"])
    assert set(seen.by_tree) == {"douglas fir", "oak", "madrone"}


@pytest.mark.parametrize(
    ("size", "plots", "sentence"),
    [
        ("large", "fir 8", "how large a plot is"),
        ("2000 ft", "fir 8", "between 3 and 150 ft"),
        ("prism 200", "fir 8", "between 1 and 80"),
        ("37 ft", "", "one plot a line"),
        ("37 ft", "fir", "Plot 1: write the wood, then inches"),
        ("37 ft", "fir 8\n8 9", "Plot 2: write the wood"),
        ("37 ft", "fir 800", "1 to 60 inches"),
        ("37 ft", "plastic 8", "no wood is called plastic"),
    ],
)
def test_what_can_not_be_read_says_what_is_wrong(size, plots, sentence):
    with pytest.raises(BadPlots, match=sentence):
        stand_estimate(size, plots)


def test_a_prism_is_known_by_its_name_too():
    assert plot_size("BAF 10").factor == 10
    assert plot_size("16.7 ft").radius_ft == 16.7


def test_plots_counted_in_meters_give_what_the_same_plots_give_in_feet():
    feet = stand_estimate("37 ft", "hardwood 5 5 5 8 8 10 12")
    meters = stand_estimate("11.28 m", "hardwood 12.7 12.7 12.7 20.3 20.3 25.4 30.5")

    assert meters.whole.likely == pytest.approx(feet.whole.likely, rel=0.005)
    assert meters.trees == pytest.approx(feet.trees, rel=0.005)
    assert plot_size("prism 2 m²/ha").factor == pytest.approx(8.71, abs=0.01)  # square feet an acre


def test_a_count_kept_in_feet_is_read_in_meters_where_those_count():
    local.remember(Local(is_metric=True))

    assert plots_here("37 ft", "fir 5 6; oak 7\nnone") == ("11.3 m", "fir 12.7 15.2; oak 17.8\nnone")
    assert plots_here("prism 10", "fir 8") == ("prism 2.3 m²/ha", "fir 20.3")
    assert plots_here("11.3 m", "fir 12") == ("11.3 m", "fir 12")
    assert (with_unit("5.64"), with_unit("prism 2")) == ("5.64 m", "prism 2 m²/ha")
    for size, plots, sentence in (
        ("big", "fir 8", '"11.3 m"'),
        ("300 m", "fir 8", "between 1 and 46 m"),
        ("11.3 m", "fir 999", "2.5 to 152 cm thick|3 to 152 cm thick"),
        ("11.3 m", "fir", "the wood, then cm"),
    ):
        with pytest.raises(BadPlots, match=sentence):
            stand_estimate(size, plots)
