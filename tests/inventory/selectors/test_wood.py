"""What pages and sales read of the wood."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.core.hours import Hours
from inventory.core.once import one_page
from inventory.core.stock import Haul
from inventory.core.weighing import BadScaleTicket
from inventory.selectors.costs import lot_cost, lot_costs
from inventory.selectors.figures import compare, other_figures, wood_rows
from inventory.selectors.lot import lot_page
from inventory.selectors.readiness import (
    honest_dry_on,
    honest_sums,
    readiness,
    seller_reliability,
)
from inventory.selectors.sale import lots_drying, lots_for_picking, lots_for_sale, plan_weights
from inventory.selectors.stock import open_wood
from inventory.selectors.work import heap_number, heap_numbers, season_start, work_log
from inventory.selectors.yards import yard_page, yards
from inventory.services.measures import save_reading, save_restack
from inventory.services.moves import move_wood
from inventory.services.weighing import save_scale_ticket
from inventory.services.work import add_expense, add_work
from tests.factories.inventory import make_hold, make_lot, make_reading, make_unit, make_yard

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("business")]


@pytest.fixture
def told(an_instant, a_day):
    return {"on": a_day, "at": an_instant, "who": "ruth"}


def test_open_wood_is_on_hand_less_promises_less_kept(a_day):
    lot = make_lot(cords="6.05", code="K1", kept_cords=Fraction(1, 4))
    make_hold(lot, cords=Fraction(9, 4))
    make_hold(lot, cords=1, kind="soft")

    row = open_wood(a_day).lots[0]

    assert row.open == Fraction("2.55")
    assert (row.firm, row.soft, row.kept) == (Fraction(9, 4), 1, Fraction(1, 4))
    assert not row.is_oversold


def test_kindling_is_counted_in_whole_bundles(a_day):
    """Lot K7 of the scenario: 85 bundles of 0.75 ft3, 40 of them held."""
    bundle = Fraction(3, 4) / 128
    lot = make_lot(
        cords=85 * bundle, form="kindling", wood="kindling", bundle_ft3=Decimal("0.750"),
        start_moisture_pct=Decimal(17), exposure="under_roof",
    )  # fmt: skip
    make_hold(lot, cords=40 * bundle)

    row = open_wood(a_day).lots[0]

    assert (row.bundles, row.dry.claim) == (45, "seasoned")


def test_only_fresh_readings_make_wood_seasoned(a_day):
    make_lot(code="K0")
    make_reading(make_lot(code="K1"), 17, 18, 19, 21, 18)
    make_reading(make_lot(code="K3"), 29, 31, 27, 33, 30)
    make_reading(make_lot(code="K6"), 44, 46, 43)
    make_reading(make_lot(code="K8"), 20, 21)
    make_reading(make_lot(code="K9"), on=date(2026, 7, 1))

    claims = {row.code: row.dry.claim for row in open_wood(a_day).lots}

    assert claims == {
        "K0": "green", "K1": "seasoned", "K3": "part_seasoned", "K6": "green",
        "K8": "part_seasoned",  # two faces are too few for the word
        "K9": "green",  # read too long ago
    }  # fmt: skip


def test_a_wet_lot_is_not_promised_before_four_of_five_such_lots_are_dry(a_day):
    make_reading(make_lot(code="K6", drying_from=date(2026, 8, 20)), 44, 46, 43)

    lot = lots_for_picking(a_day)[0]

    assert lot.dry_on > lot.dry.likely > a_day
    assert [row.code for row in lots_drying(a_day)] == ["K6"]


def test_lots_not_for_sale_and_sold_out_lots_are_not_offered(a_day):
    make_lot(code="K1")
    make_lot(code="K2", sale="not_yet")
    make_hold(make_lot(code="K4", cords=1), cords=1)

    assert [row.code for row in lots_for_sale(a_day)] == ["K1"]
    assert {row.code for row in lots_for_picking(a_day)} == {"K1", "K4"}


def test_dry_fir_is_planned_at_the_printed_weight(a_day):
    """Worked example 2: half a cord of dry fir plans at 1,584 lb."""
    lot = make_lot()
    make_reading(lot, 17, 18, 19, 20, 18)

    assert plan_weights(a_day)[lot.pk] / 2 == pytest.approx(1584)


def test_an_empty_lot_is_weighed_at_its_last_reading(a_day):
    lot = make_lot(cords=0, mix={"oak": 100})
    make_reading(lot, 28, 28, 28)

    assert plan_weights(a_day)[lot.pk] == pytest.approx(3400 * 1.28 * 1.1)


def test_a_pin_reading_above_thirty_never_makes_green_wood_lighter(a_day):
    """Three faces at 44, 46 and 43 once let half a cord of green fir "fit" a rig it overloads by 400 lb."""
    unread = make_lot(code="K1", start_moisture_pct=115)
    read_wet = make_lot(code="K2", start_moisture_pct=115)
    make_reading(read_wet, 44, 46, 43)

    weights = plan_weights(a_day)

    assert weights[read_wet.pk] == weights[unread.pk] == pytest.approx(2400 * 2.15 * 1.1)


def test_a_lot_that_was_moved_keeps_its_green_weight(a_day):
    """Moving or splitting starts the drying curve at what the pin suggested; the weight must not follow."""
    lot = make_lot(code="K1", start_moisture_pct=44)

    assert plan_weights(a_day)[lot.pk] == pytest.approx(2400 * 2.15 * 1.1)


def test_one_face_above_thirty_counts_as_green(a_day):
    lot = make_lot(cords=1, mix={"oak": 100}, start_moisture_pct=70)
    make_reading(lot, 29, 31, 27, 33, 30)

    planned = (29 + 70 + 27 + 70 + 30) / 5
    assert plan_weights(a_day)[lot.pk] == pytest.approx(3400 * (1 + planned / 100) * 1.1)


def test_a_scale_ticket_teaches_the_weight_of_the_same_wood(a_day, an_instant):
    weighed = make_lot(code="K1", start_moisture_pct=115)
    same_wood = make_lot(code="K2", start_moisture_pct=115)
    dry_wood = make_lot(code="K3", start_moisture_pct=115)
    make_reading(dry_wood, 18, 19, 20, 18, 18)

    save_scale_ticket(
        code="K1", gross_lb=11_900, tare_lb=9_400, cords=Fraction(1, 2), on=a_day, at=an_instant, who="ruth"
    )

    weights = plan_weights(a_day)
    assert weights[weighed.pk] == weights[same_wood.pk] == pytest.approx(5000 * 1.05)
    assert weights[dry_wood.pk] == pytest.approx(2400 * 1.2 * 1.1)


def test_a_scale_ticket_that_cannot_be_wood_is_refused(a_day, an_instant):
    make_lot(code="K1")

    with pytest.raises(BadScaleTicket, match="full, the rig must weigh more than empty"):
        save_scale_ticket(
            code="K1", gross_lb=9_000, tare_lb=9_400, cords=Fraction(1), on=a_day, at=an_instant, who="ruth"
        )
    with pytest.raises(BadScaleTicket, match="25,000 lb for 1 cord"):
        save_scale_ticket(
            code="K1", gross_lb=11_900, tare_lb=9_400, cords=Fraction(1, 10), on=a_day, at=an_instant, who=""
        )


def test_the_lots_page_follows_every_movement(a_day):
    lot = make_lot(code="K1", cords=3)
    make_reading(lot)
    make_hold(lot, cords=1, reference="order 208")

    page = lot_page("K1", a_day)

    assert page.movements[0].balance == 3
    assert page.holds[0].order_number == 208
    assert "<svg" in str(page.chart)
    assert all(line.source for line in page.sources)
    assert lot_page("nope", a_day) is None


def test_bare_dry_wood_is_not_promised_beyond_the_rain(a_day):
    make_reading(make_lot(code="K1"))
    make_reading(make_lot(code="K4", exposure="under_roof"))
    make_reading(make_lot(code="K6", drying_from=date(2026, 8, 20)), 44, 46, 43)

    answers = {line.lot.code: line.answer for line in honest_dry_on(date(2026, 10, 10), on=a_day)}

    assert answers == {"K1": "cover it", "K4": "yes", "K6": "no"}


def test_a_lot_is_dry_when_its_worst_face_is_not_when_its_mean_is(a_day):
    """Two lots of one mean: the one with a face that lags is dry later, and says at which mean."""
    make_reading(make_lot(code="K1", drying_from=date(2026, 7, 10)), 34, 34, 34, 34, 34)
    make_reading(make_lot(code="K2", drying_from=date(2026, 7, 10)), 30, 30, 30, 35, 45)
    make_reading(make_lot(code="K3"), 17, 18, 19, 21, 18)

    even, ragged, dry = (row.dry for row in open_wood(a_day).lots)

    assert even.limit_pct == dry.limit_pct == 25  # nothing lags
    assert 20 < ragged.limit_pct < 25
    assert ragged.likely > even.likely
    assert ragged.rain_chance < even.rain_chance
    assert ragged.rain.chance == ragged.rain_chance


def test_a_lot_nobody_read_starts_at_what_such_wood_usually_holds(a_day):
    """Coast fir split in June and never read is likely dry in September, not next April."""
    make_lot(code="K1", start_moisture_pct=None, drying_from=date(2026, 6, 10))
    make_lot(code="K2", start_moisture_pct=Decimal(115), drying_from=date(2026, 6, 10))

    blank, soaked = (lot_page(code, date(2026, 7, 1)) for code in ("K1", "K2"))

    assert (blank.is_start_typed, soaked.is_start_typed) == (False, True)
    assert 45 < blank.start_moisture_pct < 80
    assert blank.row.dry.likely < date(2026, 11, 15)
    assert blank.row.dry.likely < soaked.row.dry.likely
    assert blank.row.plan_lb_per_cord == soaked.row.plan_lb_per_cord  # loads stay on the heavy side


def test_readings_score_what_was_forecast_before_them(told, a_day):
    """Read as forecast: inside. Read far wetter: outside. A copy in a part counts for nothing."""
    for code, shift in (("K1", 0), ("K2", 35)):
        make_lot(code=code, drying_from=date(2026, 6, 10))
        likely = lot_page(code, a_day).row.dry.moisture_pct
        save_reading(code=code, faces=[round(likely + shift)] * 5, basis="dry", **told)

    known = seller_reliability()

    assert (known.inside, len(known.scored)) == (1, 2)
    assert "1 of 2 later readings" in str(readiness(a_day).reliability.text)
    move_wood(code="K1", to_yard_id=make_yard().pk, cords=Fraction(1), **told)
    assert len(seller_reliability().scored) == 2


def test_a_moved_lot_keeps_how_it_lay_and_what_is_unsure_of_it(told, a_day):
    make_lot(code="K1", form="rounds", start_moisture_pct=None, drying_from=date(2026, 8, 1))
    before = lot_page("K1", a_day).row.dry

    move_wood(code="K1", to_yard_id=make_yard(lat=33.0).pk, **told)

    after = lot_page("K1", a_day).row.dry
    assert after.high_pct - after.low_pct == pytest.approx(before.high_pct - before.low_pct, rel=0.15)
    assert after.high_pct - after.low_pct > 8


def test_the_calendar_asks_the_same_number_of_queries_for_any_number_of_lots(
    a_day, django_assert_num_queries
):
    for _ in range(5):
        make_reading(make_lot())

    # the seller, lots with yards, readings, signs, tickets, score
    with django_assert_num_queries(6), one_page():
        found = readiness(a_day)
        lines = honest_dry_on(date(2026, 10, 10), on=a_day)
        for_sale = lots_for_sale(a_day)

    assert len(found.rows) == len(lines) == len(for_sale) == 5
    with django_assert_num_queries(5):
        lots_for_sale(a_day)


def test_each_wood_is_compared_by_its_own_heat_and_the_common_figure_is_told_too():
    found = compare("oak", "fir", one_price=Decimal(350), other_price=Decimal(260))

    assert (round(found.cords, 2), round(found.cords_alike, 2)) == (1.33, 1.42)
    assert (round(found.one_mbtu, 2), round(found.other_mbtu, 2)) == (18.73, 14.04)
    assert (found.one_dollars, found.other_dollars) == (Decimal("18.69"), Decimal("18.51"))


def test_a_cord_of_oak_is_1_42_cords_of_fir_by_one_heat_for_every_wood():
    """Worked example 10: 8,600 Btu per oven-dry lb, fir or oak."""
    found = compare("oak", "fir", one_price=Decimal(350), other_price=Decimal(260), btu_per_lb=8600)

    assert round(found.cords, 2) == round(found.cords_alike, 2) == 1.42
    assert (round(found.one_mbtu, 2), round(found.other_mbtu, 2)) == (19.90, 14.04)
    assert (found.one_dollars, found.other_dollars) == (Decimal("17.59"), Decimal("18.51"))


def test_wet_wood_heats_a_third_less_in_a_stove_it_chokes():
    """Worked example 10: fir at 60 % and half the heat kept, against fir at 20 % and 70 % kept."""
    found = compare("fir", "fir", one_pct=60, one_stove=0.5)

    assert (round(found.one_mbtu, 2), round(found.other_mbtu, 2)) == (9.46, 14.04)
    assert found.cords == pytest.approx(2 / 3, abs=0.01)
    assert (found.one_lb, found.other_lb) == pytest.approx((3840, 2880))


def test_the_days_answer_adds_up_what_is_open_by_how_it_may_be_called(a_day):
    bare = make_lot(code="K1", cords=6)
    make_reading(bare)
    make_hold(bare, cords=2)
    make_reading(make_lot(code="K4", cords=2, exposure="under_roof"))
    make_reading(make_lot(code="K5", cords=1, exposure="under_roof", sale="own_use"))
    make_reading(make_lot(code="K6", cords=3, drying_from=date(2026, 8, 20), wood="hardwood"), 44, 46, 43)

    (fir,) = honest_sums(honest_dry_on(date(2026, 10, 10), on=a_day))

    assert (fir.wood, fir.yes, fir.cover, fir.likely, fir.bundles) == ("fir", 2, 4, 0, None)


def test_a_rig_learns_each_form_apart(told):
    for form, loose in (("splits", 180), ("rounds", 160)):
        save_restack(rig_name="Big", form=form, loose_ft3=Decimal(loose), stacked_ft3=Decimal(128), **told)

    assert [(known.form, known.now.restacks) for known in heap_numbers("Big")] == [
        ("splits", 1),
        ("rounds", 1),
    ]
    assert [known.now.restacks for known in heap_numbers("Small")] == [0]


def test_every_figure_on_the_page_says_its_source():
    figures = [figure for row in wood_rows() for _, figure in row.figures]
    figures += [row.figure for row in other_figures()]

    assert len(wood_rows()) >= 34
    assert all(figure.source and figure.unit for figure in figures)
    assert len({row.name for row in wood_rows()}) == len(wood_rows())


def test_a_lots_cord_costs_what_was_logged_on_it_or_the_usual(told):
    make_lot(code="K1", cords=4)
    make_lot(code="K9")
    for job, hours in (("split", 6), ("heap", 2)):
        likely = Decimal(hours)
        add_work(job=job, hours=Hours(low=likely, likely=likely, high=likely), lot_code="K1", **told)
    add_expense(line="chains", dollars=Decimal(40), kind="cord", lot_code="K1", **told)

    cost = lot_cost("K1")

    assert (cost.cash, cost.hours, cost.with_hours) == (Decimal("10.00"), 2, Decimal("60.00"))
    assert not cost.is_typical
    assert lot_cost("K9").with_hours == Decimal("168.25")  # 32 cash and 5.45 h at 25
    assert lot_cost("nope") is None


def test_a_moved_part_costs_what_its_lot_did_and_the_drive(told, django_assert_num_queries):
    """3.2 hours on 4 cords; then a cord driven for 14 dollars and an hour and a half."""
    lot, siding = make_lot(code="K1", cords=4), make_yard(name="Siding Yard")
    hours = Decimal("3.2")
    add_work(job="split", hours=Hours(low=hours, likely=hours, high=hours), lot_code="K1", **told)
    haul = Haul(miles=Decimal(10), minutes=90, cost_dollars=Decimal("14.00"))

    code = move_wood(code="K1", to_yard_id=siding.pk, cords=Fraction(1), haul=haul, **told)

    part = lot_cost(code)
    assert (part.cash, part.hours) == (Decimal("32.00"), Fraction(4, 5))
    assert (part.moves, part.move_hours) == (Decimal("14.00"), Fraction(3, 2))
    assert part.with_hours == Decimal("103.50")  # 32 + 14 + 2.3 h at 25
    assert lot_cost("K1").move_hours == 0
    with django_assert_num_queries(5):
        lot_costs((lot.pk,))
    assert lot_costs(()) == {}


def test_the_season_runs_from_october(told, a_day):
    unit = make_unit(name="Knob")
    add_work(
        job="slash", hours=Hours(low=Decimal(1), likely=Decimal(2), high=Decimal(3)), unit_id=unit.pk,
        **told,
    )  # fmt: skip
    add_work(
        job="slash", hours=Hours(low=Decimal(1), likely=Decimal(5), high=Decimal(5)),
        **{**told, "on": date(2025, 9, 30)},
    )  # fmt: skip

    log = work_log(a_day)

    assert season_start(date(2026, 10, 1)) == date(2026, 10, 1)
    assert log.hours == 2
    assert log.entries[0].about == "Knob"


def test_one_restack_moves_the_heap_number_part_of_the_way(told):
    save_restack(
        rig_name="Big trailer", form="splits", loose_ft3=Decimal(180), stacked_ft3=Decimal("117.33"), **told
    )

    learned = heap_number("Big trailer").now

    assert 190 < learned.mean < 196.4
    assert learned.low < learned.mean < learned.high
    assert heap_number("Small trailer").now.mean == 190


def test_a_yard_without_a_city_has_steady_air():
    yard = make_yard(name="Siding Yard")

    assert "no weather chosen" in yard_page(yard.pk).row.weather_words
    assert yards()[0].cords == 0
    assert yard_page(9999) is None
