"""Weather files of every make, years kept apart, gaps said, and days made out of months."""

from datetime import date, timedelta

import numpy as np
import pytest

from inventory.drying.places import celsius, city_weather, latitude_weather, normals_from_us
from inventory.drying.weather import (
    HUMIDITY,
    RAIN,
    RAIN_HOURS,
    SUN,
    TEMP,
    WIND,
    BadWeather,
    Normals,
    Record,
    Source,
    months_of,
    normals_of,
    weather_run,
)  # fmt: skip
from inventory.drying.weather_files import read_weather

from .kit import EUGENE, TABLES

JULY = date(2024, 7, 1)
INCH, MPH, KNOTS = 0.1 / 25.4, 2.5 / 0.44704, 2.5 / 0.514444  # a tenth of a mm, and 2.5 m/s


def hourly(header: str, row, *, days: int = 2, first: date = JULY) -> str:
    lines = [row(first + timedelta(day), hour) for day in range(days) for hour in range(24)]
    return "\n".join([header, *lines]) + "\n"


def test_the_published_daily_file_is_read_as_it_stands():
    read = read_weather((TABLES / "stick_weather_daily.csv").read_text(encoding="utf-8"))

    assert (read.record.first_on, read.record.last_on) == (date(2014, 5, 13), date(2014, 8, 8))
    assert read.record.values[4].tolist() == [6.99, 90.0, 0.39, 6.58, 9.58, 7.0]
    assert (read.is_hourly, read.is_typical, read.notes) == (False, False, ())


@pytest.mark.parametrize(
    "text",
    [
        hourly("time,temperature_2m (°C),relative_humidity_2m (%),precipitation (mm),wind_speed_10m (km/h)",
               lambda day, hour: f"{day}T{hour:02d}:00,{10 + hour},{80 - hour},0.1,9"),
        hourly("Date,Time,Temp (F),Humidity (%),Rain (in),Wind (mph)",
               lambda day, hour: f"{day:%m/%d/%Y},{hour}:00,{50 + 1.8 * hour},{80 - hour},{INCH},{MPH}"),
        hourly("Datum;skip;TempC\ndate;temp_c;humidity;rain_mm;wind_kmh",
               lambda day, hour: f"{day:%d.%m.%Y} {hour:02d}:00;{10 + hour},0;{80 - hour};0,1;9"),
        hourly("station,valid,tmpf,relh,p01i,sknt",
               lambda day, hour: f"EUG,{day} {hour:02d}:54,{50 + 1.8 * hour},{80 - hour},{INCH},{KNOTS}"),
        hourly("year,month,day,hour,temperature [degC],humidity [%],precip [mm],wind speed [m/s]",
               lambda day, hour: f"{day.year},{day.month},{day.day},{hour},{10 + hour},{80 - hour},0.1,2.5"),
    ],
    ids=["open data service", "US, clock apart", "German", "airport network", "year month day"],
)  # fmt: skip
def test_hourly_files_of_many_makes_give_the_same_day(text):
    read = read_weather(text)

    assert read.is_hourly
    first = read.record.values[0]
    assert read.record.first_on == JULY
    assert first[[TEMP, HUMIDITY, WIND, RAIN, RAIN_HOURS]].tolist() == pytest.approx(
        [21.5, 68.5, 2.5, 2.4, 24], rel=1e-3
    )


@pytest.mark.parametrize(
    ("text", "temp_c", "rh_pct"),
    [
        ("DATE,TAVG,RH,PRCP\n7/1/2024,70,40,0\n7/2/2024,82,35,0.1\n", celsius(70), 40),
        ("date,tmin,tmax,rhmin,rhmax\n2024-07-01,10,30,20,90\n", 20, 55),
        ("Day,High (F),Low (F),Dew point (F)\n2024-07-01,86,50,50\n", 20, 52.5),
        ("date\ttemp_mean_c\trh_mean_pct\n20240701\t20\t55\n", 20, 55),
        ("Station 4711\nfrom a friend\ndate,temp_f,rh_pct\n2024-07-01,68,M\n2024-07-02,68,55\n", 20, 55),
    ],
)  # fmt: skip
def test_daily_files_of_many_makes_are_read(text, temp_c, rh_pct):
    read = read_weather(text)

    assert read.record.values[0][TEMP] == pytest.approx(temp_c, abs=0.1)
    assert read.record.values[0][HUMIDITY] == pytest.approx(rh_pct, abs=1)


def test_a_file_without_units_too_warm_for_celsius_says_how_it_was_read():
    read = read_weather("date,temp,rh,rain\n2024-07-01,88,40,1\n2024-07-02,70,40,0\n")

    assert read.record.values[0][[TEMP, RAIN]].tolist() == pytest.approx([celsius(88), 25.4])
    assert "read as F, mph and inches" in read.notes[0]


def test_days_left_out_and_lines_that_make_no_sense_are_told():
    read = read_weather(
        "date,temp_c,rh_pct\n2024-07-01,20,50\nsomeday,20,50\n2024-07-02,200,50\n2024-07-05,21,50\n"
        "2024-07-06,-9999,50\n2024-07-07,,\n"
    )

    assert [date.fromordinal(day) for day in read.record.ordinals.tolist()] == [
        date(2024, 7, 1),
        date(2024, 7, 5),
    ]
    told = " ".join(read.notes)
    assert "line 3: 'someday' is not a date" in told
    assert "line 4: 200 does not happen outdoors" in told
    assert "2024-07-02 to 2024-07-04" in told
    assert "2 days had too few hours or no temperature" in told


def test_a_figure_without_end_is_left_out_and_told():
    read = read_weather(
        "year,month,day,temp_c,rh_pct\n2024,7,1,20,50\n2024,7,2,inf,50\ninf,7,3,20,50\n2024,7,4,21,50\n"
    )

    told = " ".join(read.notes)
    assert "line 3: 'inf' is no number" in told
    assert "line 4: year, month and day do not make a date" in told


def test_a_day_with_too_few_hours_does_not_count():
    text = hourly("time,temp_c,rh_pct", lambda day, hour: f"{day}T{hour:02d}:00,20,50", days=3)
    lines = text.splitlines()

    read = read_weather("\n".join(lines[:30]))  # a day and five hours

    assert len(read.record.ordinals) == 1


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "is empty"),
        ("hello\n1\n", "names a date"),
        ("date,rh_pct\n2024-01-01,3\n", "no temperature"),
        ("date,temp_c\n2024-01-01,3\n", "no humidity"),
        ("date,temp_c,rh_pct\n", "no line of it"),
        ("date,temp_c,rh_pct\nx,y,z\n", "'x' is not a date"),
        ("date,temp_c,rh_pct\n2024-01-01,,\n", "no whole day"),
        ("LOCATION,Nowhere\n" * 8, "begins like EPW"),
    ],
)
def test_what_cannot_be_read_is_told_in_a_sentence(text, told):
    with pytest.raises(BadWeather, match=told):
        read_weather(text)


def epw(years: dict[int, int]) -> str:
    """An EnergyPlus file of two days a month, from the years given by month."""
    head = ["LOCATION,Made up,OR,USA,TMY3,1,44,-123,-8,100"] + ["HEADER"] * 7
    lines = []
    for month, year in years.items():
        for day in (10, 11):
            for hour in range(1, 25):
                cells = ["0"] * 35
                cells[:5] = [str(year), str(month), str(day), str(hour), "60"]
                cells[6], cells[7], cells[8], cells[13], cells[21], cells[33] = (
                    "15.0",
                    "6",
                    "55",
                    "250",
                    "3.5",
                    "999",
                )
                lines.append(",".join(cells))
    return "\n".join(head + lines)


def test_epw_is_read_and_known_for_a_year_put_together_from_many():
    read = read_weather(epw({month: 1990 + month for month in range(1, 13)}))

    assert read.is_typical
    assert read.is_hourly
    assert "stands for a usual year" in read.notes[0]
    first = read.record.values[0]
    assert first[[TEMP, HUMIDITY, WIND]].tolist() == [15.0, 55.0, 3.5]
    assert first[SUN] == pytest.approx(250 * 24 * 0.0036)
    assert np.isnan(first[RAIN])


def test_a_row_a_month_is_a_usual_year():
    lines = [f"{month},{50 + month},60,3.1" for month in range(1, 13)]

    read = read_weather("\n".join(["month,temp_f,rh_pct,rain_in", *lines]))

    assert read.is_typical
    normals = normals_of(read.record)
    assert normals.temp_c == pytest.approx([celsius(50 + month) for month in range(1, 13)])
    assert sum(normals.rain_mm) == pytest.approx(12 * 3.1 * 25.4, rel=0.01)


def test_one_true_year_is_not_taken_for_a_typical_one():
    lines = [f"{date(2014, 6, 1) + timedelta(day)},12,70" for day in range(365)]

    read = read_weather("\n".join(["date,temp_c,rh_pct", *lines]))

    assert not read.is_typical


def years_of(*temps: float, first: int = 2019) -> Record:
    """Whole years, each of its own temperature."""
    return Record.of(
        (date(first + at, 1, 1) + timedelta(day), (temp, 60.0, 3.0, float("nan"), 0.0, 0.0))
        for at, temp in enumerate(temps)
        for day in range(366 if (first + at) % 4 == 0 else 365)
    )


def place(record: Record, **more) -> Source:
    return Source(name="station", description="", normals=normals_of(record), measured=record, **more)


def test_years_of_a_file_are_kept_apart():
    temps = (5.0, 8.0, 11.0, 14.0, 17.0, 20.0)
    source = place(years_of(*temps))

    ahead = weather_run(source, date(2027, 1, 1), 30).values[..., TEMP]

    assert sorted(ahead[10].tolist()) == list(temps)
    assert (ahead == ahead[0]).all()  # a scenario stays in its year


def test_measured_days_stand_for_themselves_and_a_forecast_for_the_days_ahead():
    source = place(years_of(5, 8, 11, 14, 17, 20))
    ahead = Record.of([(date(2025, 1, 2), (30.0, 40.0, 1.0, 10.0, 0.0, 0.0))])
    told = place(years_of(5, 8, 11, 14, 17, 20), forecast=ahead)

    assert set(weather_run(source, date(2024, 12, 30), 2).values[..., TEMP].ravel()) == {20.0}
    run = weather_run(told, date(2025, 1, 1), 3).values[..., TEMP]
    assert set(run[1].tolist()) == {30.0}
    assert len(set(run[2].tolist())) == 6


def test_a_file_of_one_year_is_helped_out_with_made_years():
    source = place(years_of(10))

    ahead = weather_run(source, date(2027, 1, 1), 60).values[..., TEMP]

    assert (ahead == 10.0).all(axis=0).sum() == 1
    assert len(set(ahead[30].tolist())) == 6


def test_rain_a_file_does_not_know_is_the_months_rain():
    record = Record.of(
        (date(2020, 1, 1) + timedelta(day), (10.0, 70.0, 3.0, 10.0, float("nan"), float("nan")))
        for day in range(366)
    )
    dry, wet = (
        Source(name="s", description="", normals=normals_of(record, otherwise), measured=record)
        for otherwise in (None, EUGENE.normals)
    )

    days = [weather_run(source, date(2020, 1, 1), 366).values[..., RAIN].sum(axis=0) for source in (dry, wet)]

    assert days[0].max() == 0
    assert days[1].mean() == pytest.approx(sum(EUGENE.normals.rain_mm), rel=0.2)


@pytest.mark.parametrize("name", ["Eugene", "Phoenix", "Anchorage", "Miami"])
def test_days_made_of_months_average_to_the_months(name):
    source = city_weather(name)

    months = months_of(source)

    normals = source.normals
    assert months[:, TEMP] == pytest.approx(normals.temp_c, abs=1.5)
    assert months[:, HUMIDITY] == pytest.approx(normals.rh_pct, abs=4)
    assert months[:, RAIN].sum() == pytest.approx(sum(normals.rain_mm), rel=0.12)
    rainy = weather_run(source, date(2025, 1, 1), 365).values[..., RAIN] > 0
    assert 0.02 < rainy.mean() < 0.7


def test_wet_days_are_damper_than_dry_ones():
    run = weather_run(EUGENE, date(2025, 1, 1), 365).values
    wet = run[..., RAIN] > 0
    winter = np.zeros(365, bool)
    winter[:60] = True

    assert run[winter][wet[winter]][:, HUMIDITY].mean() > run[winter][~wet[winter]][:, HUMIDITY].mean() + 4


def test_a_scenario_goes_on_where_it_left_off():
    whole = weather_run(EUGENE, date(2026, 6, 1), 400).values
    later = weather_run(EUGENE, date(2027, 2, 1), 100).values

    assert np.array_equal(whole[245:345], later)


def test_a_guess_by_latitude_is_warm_in_the_south_and_turns_round_below_the_line():
    assert latitude_weather(33).normals.temp_c[6] > latitude_weather(61).normals.temp_c[6]
    assert latitude_weather(-40).normals.temp_c[0] > latitude_weather(-40).normals.temp_c[6]
    assert (
        latitude_weather(44, (9.0,) * 12).normals.rh_pct < latitude_weather(44, (15.0,) * 12).normals.rh_pct
    )
    with pytest.raises(BadWeather, match="twelve moistures"):
        latitude_weather(44, (9.0,) * 11)


@pytest.mark.parametrize(
    "rows", [[], [[1, 50, 60, 5, 2]] * 12, [[month, 50, 60, 5] for month in range(1, 13)]]
)
def test_normals_are_twelve_whole_months(rows):
    with pytest.raises(BadWeather, match="twelve rows"):
        normals_from_us(rows)


def test_normals_that_do_not_happen_are_refused():
    with pytest.raises(BadWeather, match="rh pct lies outside"):
        Normals(temp_c=(10,) * 12, rh_pct=(140,) * 12, wind_m_s=(2,) * 12, rain_mm=(10,) * 12)
    with pytest.raises(BadWeather, match="there are 3"):
        Normals(temp_c=(10,) * 3, rh_pct=(60,) * 3, wind_m_s=(2,) * 3, rain_mm=(10,) * 3)
    with pytest.raises(BadWeather, match="no city"):
        city_weather("Atlantis")


def test_equal_records_are_equal_and_others_not():
    one, same, other = years_of(5), years_of(5), years_of(6)

    assert one == same
    assert hash(one) == hash(same)
    assert one != other
