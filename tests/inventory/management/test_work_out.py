"""`manage.py work_out`: any figure from a script, and a sentence where a line makes none."""

import io
import json

import pytest
from django.core.management import call_command

from inventory.management.commands.work_out import KINDS, work_out
from tests.inventory.core.published import rows
from tests.inventory.drying.kit import TABLES

STICKS = str(TABLES / "stick_weather_daily.csv")
NORMALS = [[month, 60, 60, 6, 1.5] for month in range(1, 13)]
ASKED = {
    "what": "dry", "wood": "fir", "form": "split", "size_in": 5, "cover": "top", "start_on": "2026-06-10",
    "start_dry_pct": 60, "normals": NORMALS, "until": "2026-12-31",
}  # fmt: skip


def answer(**asked):
    return work_out(json.dumps(asked))


@pytest.mark.parametrize("row", rows("emc_check_vectors.csv")[:6])
def test_equilibrium_moisture_is_the_published(row):
    found = answer(what="emc", temperature_f=float(row["temp_f"]), humidity_pct=float(row["rh_pct"]))

    assert found["emc_dry_pct"] == pytest.approx(float(row["emc_pct_eq_4_5"]), abs=0.001)


@pytest.mark.parametrize("row", rows("density_check_vectors.csv")[:8], ids=lambda row: row["species"])
def test_density_is_the_published(row):
    found = answer(
        what="density", specific_gravity_green=float(row["specific_gravity_green_basis"]),
        shrinkage_pct=float(row["shrinkage_volumetric_pct"]), moisture_dry_pct=float(row["mc_pct_dry_basis"]),
    )  # fmt: skip

    assert found["lb_per_ft3"] == pytest.approx(float(row["density_lb_per_ft3"]), abs=0.01)


def test_both_bases():
    assert answer(what="basis", wet_pct=20) == {"wet_pct": 20, "dry_pct": 25}
    assert answer(what="basis", dry_pct=25) == {"wet_pct": 20, "dry_pct": 25}


def test_a_cord_of_dry_fir_is_the_worked_example():
    found = answer(what="cord", wood="fir", moisture_dry_pct=20)

    assert (found["lb"], round(found["useful_mbtu"], 2)) == (2880, 14.04)
    assert found["lb_low"] < 2880 < 2970 < found["lb_high"]
    half = answer(what="cord", wood="fir", moisture_dry_pct=20, solid_ft3=42.5)
    assert half["lb"] == 1440


def test_conversions_are_exact_where_they_can_be_and_ranges_where_not():
    assert answer(what="convert", amount="1/3", **{"from": "cord", "to": "stacked_ft3"})[
        "likely"
    ] == pytest.approx(42.6667)
    stere = answer(what="convert", amount=1, **{"from": "cord", "to": "stere"})
    assert stere["low"] == stere["likely"] == stere["high"] == pytest.approx(3.6246, abs=1e-4)
    solid = answer(what="convert", amount=1, **{"from": "m3_loose", "to": "solid_ft3"})
    assert solid["low"] < solid["likely"] < solid["high"]
    back = answer(what="convert", amount=2.5, **{"from": "loose_ft3", "to": "loose_ft3"})
    assert back == {"low": 2.5, "likely": 2.5, "high": 2.5}


def test_drying_by_normals_gives_a_band_and_dates():
    found = work_out(json.dumps(ASKED))

    assert found["days"][0] == "2026-06-10"
    assert found["days"][-1] == "2026-12-31"
    assert len(found["days"]) == len(found["p10"]) == len(found["p50"]) == len(found["p90"]) == 205
    assert found["dry_on_p10"] < found["dry_on_p50"]
    assert all(
        low <= mid <= high for low, mid, high in zip(found["p10"], found["p50"], found["p90"], strict=True)
    )


def test_drying_by_a_weather_file_with_a_given_start_is_unsure_of_the_rate_alone():
    found = answer(
        what="dry", wood="ponderosa_pine", form="round", size_in=0.51, cover="bare", start_on="2014-05-13",
        start_dry_pct=8.33, weather=STICKS, until="2014-08-08",
    )  # fmt: skip

    assert len(found["days"]) == 88
    assert max(high - low for low, high in zip(found["p10"], found["p90"], strict=True)) < 8


def test_readings_narrow_the_band():
    read = work_out(json.dumps({**ASKED, "readings": [["2026-07-20", 30]]}))
    plain = work_out(json.dumps({**ASKED, "start_dry_pct": None}))

    at = read["days"].index("2026-08-01")
    assert read["p90"][at] - read["p10"][at] < plain["p90"][at] - plain["p10"][at]


@pytest.mark.parametrize(
    ("changes", "told"),
    [
        ({"wood": "unobtainium"}, "no figures for 'unobtainium'"),
        ({"wood": None}, '"wood" is missing'),
        ({"size_in": "five"}, '"size_in" must be a number'),
        ({"form": "chips"}, '"form" is split or round'),
        ({"bark": "yes"}, '"bark" is true or false'),
        ({"cover": "snow"}, "is no cover"),
        ({"lies": "up"}, "is no way wood lies"),
        ({"start_on": "June"}, '"start_on" must be a date'),
        ({"until": "2020-01-01"}, '"until" must lie'),
        ({"start_dry_pct": 900}, '"start_dry_pct" must be a number from 0 to 300'),
        ({"normals": NORMALS[:3]}, "twelve rows"),
        ({"normals": "mild"}, "twelve rows"),
        ({"normals": None, "weather": "/nowhere.csv"}, "could not be read"),
        ({"normals": None}, '"weather" is missing'),
        ({"normals": None, "weather": STICKS}, "it runs from 2014-05-13 to 2014-08-08"),
        ({"readings": 4}, "pairs of a date and a percent"),
        ({"readings": [["2026-07-01"]]}, "a reading is a date"),
        ({"readings": [["2020-07-01", 30]]}, "older than the start"),
    ],
)  # fmt: skip
def test_a_question_about_drying_that_cannot_be_answered_says_why(changes, told):
    assert told in work_out(json.dumps({**ASKED, **changes}))["error"]


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("what?", "is no JSON"),
        ("[1]", '"what" must be one of emc, density'),
        ('{"what": "weigh"}', '"what" must be one of'),
        ('{"what": "emc", "temperature_f": 70}', '"humidity_pct" is missing'),
        ('{"what": "basis"}', "give one of"),
        ('{"what": "convert", "amount": "lots", "from": "cord", "to": "stere"}', "a number or a fraction"),
        ('{"what": "convert", "amount": -1, "from": "cord", "to": "stere"}', "from 0 to ten million"),
        ('{"what": "convert", "amount": 1, "from": "rick", "to": "stere"}', "no unit 'rick'"),
        ('{"what": "cord", "wood": "fir", "moisture_dry_pct": true}', "must be a number"),
    ],
)
def test_a_line_that_cannot_be_answered_says_why(line, told):
    assert told in work_out(line)["error"]


def test_the_other_lines_are_still_answered_and_the_exit_status_tells(tmp_path):
    lines = tmp_path / "lines.jsonl"
    lines.write_text(
        '{"what": "basis", "wet_pct": 20}\n\nnonsense\n{"what": "basis", "dry_pct": 25}\n', "utf-8"
    )
    out = io.StringIO()

    with pytest.raises(SystemExit) as ended:
        call_command("work_out", str(lines), stdout=out)

    answers = [json.loads(line) for line in out.getvalue().splitlines()]
    assert ended.value.code == 1
    assert [list(found) for found in answers] == [["wet_pct", "dry_pct"], ["error"], ["wet_pct", "dry_pct"]]


def test_every_kind_is_documented():
    told = (TABLES.parents[2] / "DEVELOPERS.md").read_text("utf-8")

    assert all(f'"what": "{kind}"' in told for kind in KINDS)
