"""Lots opened, offered, kept, counted again, split, sorted, merged and moved."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db.models import Sum

from inventory.core.hours import Hours
from inventory.core.measure import measured
from inventory.core.species import BadMix
from inventory.core.stock import BadMovement, TooLittleThere
from inventory.models import AuditEntry, Lot, Movement
from inventory.selectors.business import business
from inventory.selectors.drying import dry_state
from inventory.selectors.stock import open_wood, stock_as_of
from inventory.services.counts import correct_count, write_off
from inventory.services.draws import draw_wood
from inventory.services.holds import NotEnoughOpen, hold_wood, release_hold
from inventory.services.lots import (
    BadCode,
    CodeTaken,
    KeptTooMuch,
    NewLot,
    burn_kept,
    describe_lot,
    keep_for_own_use,
    open_lot,
    set_sale,
)
from inventory.services.measures import Measured, save_measurement, save_reading, save_restack
from inventory.services.moves import AlreadyThere, Haul, NoRoom, move_wood
from inventory.services.parts import Storage, WillNotMerge, change_storage, merge_lots, sort_out, take_step
from inventory.services.work import BadGuess, add_expense, add_work, remove_work
from tests.factories.inventory import make_hold, make_lot, make_reading, make_yard

pytestmark = pytest.mark.django_db


@pytest.fixture
def told(an_instant, a_day):
    """When and by whom a service is told."""
    return {"on": a_day, "at": an_instant, "who": "ruth"}


def new_lot(**changes):
    fields = {
        "code": "K9", "name": "Knob fir", "yard_id": make_yard().pk, "cords": Fraction(5, 2),
        "mix": {"fir": Decimal(100)}, "wood": "fir", "form": "splits", "piling": "heaped",
        "exposure": "low_heap", "start_moisture_pct": Decimal(60), "drying_from": date(2026, 8, 20),
    }  # fmt: skip
    return NewLot(**{**fields, **changes})


def assert_balances_are_the_movements():
    for lot in Lot.objects.all():
        assert (lot.movements.aggregate(all=Sum("cords"))["all"] or 0) == lot.on_hand_cords, lot.code


def test_an_opened_lot_begins_with_a_movement(told):
    assert open_lot(lot=new_lot(), **told) == "K9"

    lot = Lot.objects.get(code="K9")
    assert lot.on_hand_cords == Fraction(5, 2)
    assert lot.movements.get().kind == "measured"
    assert AuditEntry.objects.get().thing == "lot K9"


@pytest.mark.parametrize(
    ("changes", "error"),
    [
        ({"code": "K 9"}, BadCode),
        ({"code": "k1"}, CodeTaken),
        ({"mix": {"fir": Decimal(60)}}, BadMix),
    ],
)
def test_a_lot_that_cannot_be_is_refused(told, changes, error):
    make_lot(code="K1")

    with pytest.raises(error):
        open_lot(lot=new_lot(**changes), **told)

    assert Lot.objects.count() == 1


def test_the_count_is_corrected_by_a_movement_and_the_past_is_kept(told):
    lot = make_lot(cords=3)

    assert correct_count(code=lot.code, counted=Fraction("2.5"), reason="counted", **told) == Fraction(-1, 2)

    assert stock_as_of(date(2026, 9, 17))[0].cords == 3
    assert stock_as_of(date(2026, 9, 18))[0].cords == Fraction(5, 2)
    assert_balances_are_the_movements()


def test_a_count_below_the_promises_is_recorded_and_nothing_more_is_promised(told):
    lot = make_lot(cords=3, code="K1")
    hold = make_hold(lot, cords=Fraction(4, 3), reference="order 202")

    correct_count(code="K1", counted=Fraction(1), **told)

    lot.refresh_from_db()
    assert (lot.on_hand_cords, lot.short_cords) == (1, Fraction(1, 3))
    with pytest.raises(NotEnoughOpen):
        hold_wood(
            lot_id=lot.pk, cords=Fraction(1, 12), kind="firm", reference="order 203", made_at=told["at"]
        )
    release_hold(hold_id=hold.pk, at=told["at"])
    lot.refresh_from_db()
    assert lot.short_cords == 0
    assert_balances_are_the_movements()


def test_a_short_lot_gives_what_is_held_of_it_while_it_lasts(told):
    lot = make_lot(cords=3, code="K1")
    first, second = (make_hold(lot, cords=1, reference=f"order {number}") for number in (202, 203))
    write_off(code="K1", cords=Fraction(3, 2), **told)
    day = {"on": told["on"], "at": told["at"]}

    draw_wood(hold_id=first.pk, **day)
    with pytest.raises(NotEnoughOpen):
        draw_wood(hold_id=second.pk, **day)
    correct_count(code="K1", counted=Fraction(2), **told)
    draw_wood(hold_id=second.pk, **day)

    lot.refresh_from_db()
    assert (lot.on_hand_cords, lot.short_cords) == (1, 0)
    assert_balances_are_the_movements()


def test_no_more_is_written_off_than_is_there_and_own_use_gives_way_first(told):
    lot = make_lot(cords=2, code="K1")
    keep_for_own_use(code="K1", cords=Fraction(1), at=told["at"], who="ruth")

    with pytest.raises(TooLittleThere, match="had 2 cords"):
        write_off(code="K1", cords=Fraction(3), **told)
    write_off(code="K1", cords=Fraction(3, 2), **told)

    lot.refresh_from_db()
    assert (lot.on_hand_cords, lot.kept_cords, lot.short_cords) == (Fraction(1, 2), Fraction(1, 2), 0)


def test_wood_kept_and_burned_leaves_the_open_stock(told):
    lot = make_lot(cords=2, code="K1")
    at = {"at": told["at"], "who": "ruth"}

    keep_for_own_use(code="K1", cords=Fraction(1), **at)
    burn_kept(code="K1", cords=Fraction(1, 4), **told)

    lot.refresh_from_db()
    assert (lot.on_hand_cords, lot.kept_cords) == (Fraction(7, 4), Fraction(3, 4))
    with pytest.raises(KeptTooMuch):
        burn_kept(code="K1", cords=Fraction(2), **told)
    with pytest.raises(NotEnoughOpen):
        keep_for_own_use(code="K1", cords=Fraction(5), **at)


def test_wood_is_offered_and_described_with_a_trail(told):
    make_lot(code="K1", sale="not_yet")
    at = {"at": told["at"], "who": "ruth"}

    set_sale(code="K1", sale="for_sale", **at)
    describe_lot(code="K1", values={"said_ready": "fall 2027"}, **at)
    describe_lot(code="K1", values={"said_ready": "fall 2027"}, **at)

    assert list(AuditEntry.objects.values_list("verb", flat=True)) == ["described", "offered"]


def test_splitting_keeps_how_the_rounds_lay_and_dries_on_from_there(told):
    lot = make_lot(
        cords=3, code="K2", form="rounds", split_on=None, drying_from=date(2026, 6, 12),
        start_moisture_pct=Decimal(85),
    )  # fmt: skip

    assert take_step(code="K2", step="split", **told) == "K2"

    lot.refresh_from_db()
    assert (lot.form, lot.split_on, lot.start_moisture_pct) == ("splits", told["on"], 85)
    assert [(lay["form"], lay["until"]) for lay in lot.lay_before] == [("rounds", told["on"].isoformat())]
    assert 25 < dry_state(lot, business(), on=told["on"]).moisture_pct < 85
    with pytest.raises(BadMovement):
        take_step(code="K2", step="bucked", **told)


def test_a_part_split_is_a_lot_of_its_own(told):
    lot = make_lot(cords=3, code="K2", form="rounds", split_on=None)

    code = take_step(code="K2", step="split", cords=Fraction(1), **told)

    lot.refresh_from_db()
    part = Lot.objects.get(code=code)
    assert (code, part.form, part.on_hand_cords, part.parent) == ("K2b", "splits", 1, lot)
    assert (lot.form, lot.on_hand_cords) == ("rounds", 2)
    assert_balances_are_the_movements()


def test_a_species_sorted_out_has_its_own_clock(told):
    lot = make_lot(cords=2, code="K5", mix={"fir": 80, "oak": 20}, wood="mixed")
    make_reading(lot)

    code = sort_out(
        code="K5", cords=Fraction("0.4"), mix={"oak": Decimal(100)}, wood="hardwood", name="Oak from K5",
        start_moisture_pct=Decimal(70), rest_mix={"fir": Decimal(100)}, **told,
    )  # fmt: skip

    oak = Lot.objects.get(code=code)
    lot.refresh_from_db()
    assert (oak.mix, oak.drying_from, oak.sale) == ({"oak": 100}, told["on"], "not_yet")
    assert oak.readings.count() == 0
    assert lot.mix == {"fir": 100}
    assert_balances_are_the_movements()


def test_merged_lots_keep_their_promises_and_their_wood(told):
    yard = make_yard()
    dry, other = (make_lot(cords=cords, code=code, yard=yard) for cords, code in ((2, "K1"), (1, "K9")))
    for lot in (dry, other):
        make_reading(lot)
    hold_wood(lot_id=other.pk, cords=Fraction(1, 2), kind="firm", reference="o 1", made_at=told["at"])

    merge_lots(code="K9", into="K1", **told)

    dry.refresh_from_db()
    other.refresh_from_db()
    assert (dry.on_hand_cords, dry.firm_cords) == (3, Fraction(1, 2))
    assert (other.on_hand_cords, other.firm_cords) == (0, 0)
    assert dry.holds.count() == 1
    assert_balances_are_the_movements()


def test_own_use_gives_way_when_a_short_lot_is_merged_onto_one_that_keeps_wood(told):
    """Found by two hundred steps."""
    yard = make_yard()
    short, keeps = (make_lot(cords=1, code=code, yard=yard) for code in ("K1", "K2"))
    for lot in (short, keeps):
        make_reading(lot)
    make_hold(short, cords=1)
    keep_for_own_use(code="K2", cords=Fraction(1), at=told["at"], who="ruth")
    correct_count(code="K1", counted=Fraction(1, 2), **told)

    merge_lots(code="K1", into="K2", **told)

    keeps.refresh_from_db()
    assert (keeps.on_hand_cords, keeps.firm_cords) == (Fraction(3, 2), 1)
    assert (keeps.kept_cords, keeps.short_cords) == (Fraction(1, 2), 0)
    assert_balances_are_the_movements()


def test_wood_kept_for_ourselves_is_given_back_to_a_lot_that_is_short(told):
    lot = make_lot(cords=1, code="K1")
    make_hold(lot, cords=1)
    Lot.objects.update(kept_cords=Fraction(1), short_cords=Fraction(1))  # as an older version merged lots
    keep = {"code": "K1", "at": told["at"], "who": "ruth"}

    with pytest.raises(NotEnoughOpen):
        keep_for_own_use(cords=Fraction(5, 4), **keep)
    for kept in (Fraction(3, 4), Fraction(0)):
        keep_for_own_use(cords=kept, **keep)
        lot.refresh_from_db()
        assert (lot.kept_cords, lot.short_cords) == (kept, kept)


def test_dry_and_wet_wood_are_not_merged(told):
    yard = make_yard()
    make_reading(make_lot(code="K1", yard=yard))
    make_reading(make_lot(code="K6", yard=yard), 44, 46, 43)

    with pytest.raises(WillNotMerge, match="dry and wet wood on one heap is wet wood"):
        merge_lots(code="K6", into="K1", **told)


def test_a_whole_lot_moves_with_its_holds(told):
    lot, siding = make_lot(cords=2, code="K4"), make_yard(name="Siding Yard")
    make_hold(lot, cords=1)

    haul = Haul(miles=Decimal("10.2"), minutes=80, cost_dollars=Decimal("14.28"))
    assert move_wood(code="K4", to_yard_id=siding.pk, haul=haul, **told) == "K4"

    lot.refresh_from_db()
    moved = lot.movements.get(kind="moved")
    assert (lot.yard, lot.firm_cords) == (siding, 1)
    assert (moved.cords, moved.cost_dollars, moved.miles) == (0, Decimal("14.28"), Decimal("10.2"))
    with pytest.raises(AlreadyThere):
        move_wood(code="K4", to_yard_id=siding.pk, **told)


def test_part_of_a_lot_moves_with_its_last_reading_and_never_what_is_held(told):
    lot, siding = make_lot(cords=2, code="K4"), make_yard(name="Siding Yard")
    make_reading(lot)
    make_hold(lot, cords=1)

    code = move_wood(
        code="K4", to_yard_id=siding.pk, cords=Fraction(3, 4), haul=Haul(cost_dollars=Decimal("9.00")), **told
    )

    part = Lot.objects.get(code=code)
    assert (part.yard, part.on_hand_cords) == (siding, Fraction(3, 4))
    assert part.readings.get().note == "Read in lot K4"
    with pytest.raises(NotEnoughOpen):
        move_wood(code="K4", to_yard_id=siding.pk, cords=Fraction(1, 2), **told)
    assert_balances_are_the_movements()


def test_a_full_yard_takes_no_more(told):
    make_lot(cords=6, code="K1")
    small = make_yard(name="Siding Yard", room_cords=Fraction(4))

    with pytest.raises(NoRoom, match="Siding Yard has room for 4 cords"):
        move_wood(code="K1", to_yard_id=small.pk, **told)


def test_covering_a_lot_goes_on_from_todays_moisture(told):
    lot = make_lot(code="K6", drying_from=date(2026, 8, 20), split_on=date(2026, 8, 20))

    change_storage(code="K6", storage=Storage(is_covered=True), **told)
    change_storage(code="K6", storage=Storage(is_covered=True), **told)

    lot.refresh_from_db()
    assert lot.is_covered
    assert [(lay["is_covered"], lay["until"]) for lay in lot.lay_before] == [(False, told["on"].isoformat())]
    assert lot.movements.filter(kind="stacked").count() == 1


def test_a_measured_heap_sets_the_count_to_its_likely_cords(told):
    lot = make_lot(cords=6, code="K1")
    sizes = {"length": 42, "width": 12, "height": 5}

    heap = Measured(
        shape="windrow", form="splits", sizes=sizes, volume=measured("windrow", sizes, form="splits")
    )
    save_measurement(code="K1", measured=heap, **told)

    lot.refresh_from_db()
    assert lot.on_hand_cords == Fraction("5.73")  # 42 x 12 x 5 at the usual 190
    assert lot.measurements.get().likely_cords == Fraction("5.73")


def test_a_wet_basis_meter_is_kept_as_read_and_reckoned_dry(told):
    lot = make_lot(code="K1")

    save_reading(code="K1", faces=[20, 18, 16, 17, 19], basis="wet", **told)

    reading = lot.readings.get()
    assert (reading.faces, reading.worst_dry_pct) == ([20, 18, 16, 17, 19], Decimal("25.0"))


def test_a_restack_gives_the_loads_own_heap_number(told):
    number = save_restack(
        rig_name="Big trailer", form="splits", loose_ft3=Decimal(180), stacked_ft3=Decimal("117.333"), **told
    )

    assert number == Decimal("196.4")  # job example 9


def test_work_is_logged_as_a_range_and_taken_back(told):
    entry = add_work(
        job="split", hours=Hours(low=Decimal(3), likely=Decimal(4), high=Decimal(6)), lot_code="", **told
    )
    add_expense(line="chains", dollars=Decimal(42), kind="cord", **told)

    with pytest.raises(BadGuess):
        add_work(job="split", hours=Hours(low=Decimal(5), likely=Decimal(4), high=Decimal(6)), **told)
    remove_work(entry_id=entry, at=told["at"], who="ruth")

    assert AuditEntry.objects.filter(verb="took back work").exists()


def test_open_wood_counts_queries_not_lots(told, business, django_assert_num_queries):
    for _ in range(6):
        make_reading(make_lot())

    with django_assert_num_queries(5):  # the seller's row, lots with yards, readings, signs, scale tickets
        found = open_wood(told["on"])

    assert sum(row.open for row in found.sums) == 36
    assert Movement.objects.count() == 6
