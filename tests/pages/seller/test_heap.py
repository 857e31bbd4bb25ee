"""A heap's own page: what it is worth, and everything that could be done with it side by side."""

from datetime import date
from decimal import Decimal

import pytest
from django.urls import reverse

from inventory.models import Lot, Unit
from routing.models import Shut
from tests.factories.inventory import make_lot, make_reading, make_yard
from tests.factories.orders import make_sheet
from tests.pages.seller.sheets import log_heap, log_hours

pytestmark = pytest.mark.django_db
MAY = date(2026, 5, 20)


@pytest.fixture
def in_may(business):
    """A spring day, so that what is split now is dry long before the rain; fuel is paid elsewhere."""
    business.pinned_today = MAY
    business.production_cash_per_cord = Decimal(0)
    business.save()


def page_of(client, code):
    return " ".join(client.get(reverse("lot", args=[code])).text.split())


def write(client, page, *args, **fields):
    answer = client.post(reverse(page, args=args), fields)
    assert answer.status_code == 302, answer.context["form"].errors
    return answer


def quarter_acre(client, yard):
    """A quarter acre and five sixths of a cord of rounds from it, four hours in them and one in slash."""
    write(
        client, "unit-new", name="Corner", acres="0.25", dates="started 2026-05-01", saw_log_dollars="0",
        cost_share_dollars="0",
    )  # fmt: skip
    unit = Unit.objects.get()
    code = log_heap(
        client, yard=yard.pk, cords="5/6", unit=unit.pk, lies="rounds", on="2026-05-10", name="Corner rounds"
    )
    assert code == "A1"
    log_hours(client, "fell", hours="3 counted", on="2026-05-10", wood=code)  # its wood is in the books
    log_hours(client, "haul", hours="1 counted", on="2026-05-10", wood=code)
    log_hours(client, "slash", hours="1 counted", on="2026-05-10", unit=unit.pk)
    write(
        client, "lot-change", "A1", "guess", hours_1="1", hours_2="0", hours_4="1", hours_5="0", price="240",
    )  # fmt: skip
    return unit


def test_a_heap_says_what_lies_there_what_is_left_to_do_and_what_an_hour_brings(
    seller_client, in_may, siding
):
    """A quarter acre's five sixths of a cord read "fell $125 short, $0.00 an hour" while it lay unsold."""
    quarter_acre(seller_client, siding)

    text = page_of(seller_client, "A1")

    assert "clear about <b>$199</b>" in text  # a cord at 239: 99 of 100 are dry in time
    assert "<b>$100</b> for each hour still to put in" in text  # over the two hours left
    assert "2 h left" in text
    assert "<b>$33/h</b>" in text  # all told: over six hours of wood work
    assert "4 h already spent" in text


def test_heaps_stand_side_by_side_under_worth_the_best_paid_hour_first(seller_client, in_may, siding):
    quarter_acre(seller_client, siding)
    make_lot(
        code="C2", cords="5/6", yard=siding, form="rounds", piling="heaped", exposure="low_heap",
        mix={"fir": 100}, drying_from=date(2026, 5, 10), split_on=None, start_moisture_pct=None,
    )  # fmt: skip
    write(
        seller_client,
        "lot-change",
        "C2",
        "guess",
        hours_1="4",
        hours_2="0",
        hours_4="1",
        hours_5="0",
        price="240",
    )  # fmt: skip

    page = seller_client.get(reverse("worth"), {"by": "heap"})

    text = " ".join(page.text.split())
    assert [heap.code for heap in page.context["heaps"]] == ["A1", "C2"]
    assert "2.0 h to come</span></span><span><b>$100/h</b>" in text
    assert "5.0 h to come</span></span><span><b>$40/h</b>" in text
    assert text.count("leaves $199") + text.count("leaves $200") == 2


def test_worth_by_heap_says_so_when_nothing_lies_there(seller_client, business):
    assert "No heap would bring in money yet" in seller_client.get(reverse("worth"), {"by": "heap"}).text


def test_guesses_stay_with_the_heap_and_can_be_put_right(seller_client, in_may, siding):
    quarter_acre(seller_client, siding)

    form = seller_client.get(reverse("lot-change", args=["A1", "guess"])).text

    assert 'value="240"' in form
    answer = seller_client.post(reverse("lot-change", args=["A1", "guess"]), {"hours_1": "3 to 1"})
    assert answer.status_code == 422
    assert "Write the smaller figure first" in answer.text
    assert 'value="3 to 1"' in answer.text


def test_a_deep_heap_of_rounds_with_a_little_oak_is_offered_splitting_and_a_sunny_row_together(
    seller_client, business, upper
):
    """The page said that nothing one could do made a week's difference, and never offered both."""
    make_sheet()
    make_lot(
        code="D1", cords="2.5", yard=upper, form="rounds", piling="heaped", exposure="deep_or_shade",
        mix={"fir": 90, "oak": 10}, drying_from=date(2026, 6, 1), split_on=None, start_moisture_pct=None,
    )  # fmt: skip

    text = page_of(seller_client, "D1")

    for way in (
        "Leave it until spring, then split", "Spread the rounds, split in spring",
        "Split now, leave it heaped", "Split now, stack a sunny row", "Split, sunny row, cover",
        "Haul the rounds to Siding Yard, split there",
        "Split and sell it green now", "Give it away", "Burn it as slash", "Leave it there for good",
    ):  # fmt: skip
        assert way in text
    assert "✓ Best" in text
    assert "What would change it" in text
    assert "% dry before the rain" in text
    assert "Nothing you could do" not in text


def test_splitting_and_a_row_dry_it_sooner_than_leaving_it(seller_client, business, upper):
    make_sheet()
    lot = make_lot(code="D1", yard=upper, form="rounds", exposure="deep_or_shade", split_on=None)

    rows = {row.earned.way.key: row.earned.way for row in heap_rows(seller_client, lot)}

    assert rows["split-row"].likely < rows["leave"].likely
    assert rows["split-row"].in_time >= rows["split"].in_time


def test_ways_whose_days_cannot_be_told_apart_are_told_on_the_day_the_lot_is(seller_client, business, upper):
    """The list and the fold said one day, the headline two days later, and splitting now three more."""
    make_sheet()
    lot = make_lot(
        code="D1", yard=upper, form="rounds", exposure="deep_or_shade", split_on=None,
        drying_from=date(2026, 6, 1), start_moisture_pct=None,
    )  # fmt: skip

    rows = {row.earned.way.key: row for row in heap_rows(seller_client, lot)}

    assert 0 < (rows["split"].earned.way.likely - rows["leave"].earned.way.likely).days <= 7
    assert rows["leave"].dry == rows["split"].dry
    assert rows["split-row"].dry != rows["leave"].dry


def heap_rows(client, lot):
    return client.get(reverse("lot", args=[lot.code])).context["heap"]["rows"]


def test_dry_wood_is_sold_and_wet_splits_are_not_offered_splitting(seller_client, knob, upper, business):
    make_sheet()
    make_lot(code="W1", yard=upper, start_moisture_pct=Decimal(80), drying_from=date(2026, 9, 10))

    assert "<b>Sell it dry now.</b>" in page_of(seller_client, "K1")
    assert "Split now" not in page_of(seller_client, "W1")


def test_burning_is_barred_while_it_is_closed_and_never_the_best(seller_client, business, upper):
    make_sheet()
    lot = make_lot(code="B1", yard=upper, form="rounds", split_on=None)
    Shut.objects.create(kind="burn", from_on=date(2026, 9, 1), to_on=date(2026, 10, 20), reason="dry summer")

    text = page_of(seller_client, "B1")

    assert "Burning closed until Oct 20" in text
    burn = next(row for row in heap_rows(seller_client, lot) if row.earned.way.key == "burn")
    assert burn.earned.way.barred
    assert not burn.is_best


def test_what_earns_less_than_the_wage_is_said_not_to_be_worth_finishing(seller_client, business, upper):
    make_sheet()
    make_lot(code="P1", cords=1, yard=upper, form="rounds", split_on=None, guesses={"price": ["60"] * 3})

    text = page_of(seller_client, "P1")

    assert "Not worth finishing at $25 an hour" in text


def test_a_heap_without_a_price_says_so_and_an_empty_lot_has_no_verdict(seller_client, business, upper):
    make_lot(code="N1", yard=upper, form="rounds", split_on=None)
    make_reading(make_lot(code="E1", cords=0, yard=make_yard()))

    assert "Nothing here has a price yet" in page_of(seller_client, "N1")
    assert seller_client.get(reverse("lot", args=["E1"])).context["heap"] is None
    assert Lot.objects.get(code="E1").on_hand_cords == 0


def test_logs_may_be_sold_as_logs(seller_client, business, upper):
    make_sheet()
    make_lot(code="G1", cords=4, yard=upper, form="logs", wood="logs", piling="decked", split_on=None)

    assert "Sell it as logs, picked up here" in page_of(seller_client, "G1")


def test_the_acre_sheet_counts_what_lies_unsold_and_the_hours_still_to_come(seller_client, in_may, siding):
    """The four rows said $0.00 an hour; a quarter acre showed as 0.3."""
    unit = quarter_acre(seller_client, siding)

    text = " ".join(seller_client.get(reverse("acre-sheet"), {"unit": unit.pk}).text.split())

    assert "About $199 of wood is unsold (5/6 cord), with 2 h of work left" in text
    assert "$28.49 an hour with the slash, $33.23 for the firewood alone" in text
    assert "0.25 ac" in text
    assert "3.3 cords an acre so far" in text
    assert "the wood pays for the thinning and leaves $24" in text  # 199 less seven hours at 25


def test_ground_not_yet_thinned_is_set_against_hiring_it_out_and_the_next_patch_is_named(
    seller_client, business
):
    make_sheet()
    Unit.objects.create(name="Slope", acres=3, cost_share_dollars=900)
    Unit.objects.create(name="Flat", acres=1)

    text = " ".join(seller_client.get(reverse("acre-sheet")).text.split())

    assert "3 acres · 15 cords (" in text
    assert '<b>Slope</b></a> <span class="badge good">next</span>' in text  # its cost-share tips it
    assert "$900 of cost-share" in text
    assert "Hiring it out would run −\u2060$3,285 to −\u2060$105" in text  # 900 less 3 x 1,395, 3 x 335


def test_worth_and_the_fold_of_the_patches_name_the_one_to_take_next(seller_client, business):
    make_sheet()
    slope = Unit.objects.create(name="Slope", acres=3, cost_share_dollars=900)
    Unit.objects.create(name="Flat", acres=1)

    assert f'?unit={slope.pk}">Slope</a>' in seller_client.get(reverse("worth")).text
    assert 'Ground not yet thinned <span class="muted">Slope</span>' in (
        seller_client.get(reverse("acre-sheet")).text
    )
