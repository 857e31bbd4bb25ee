"""Whatever is done to lots in whatever order, balances are the movements and promises the holds."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

from django.db.models import Sum
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from inventory.core import InventoryError
from inventory.models import Hold, Lot, Movement
from inventory.services.counts import correct_count, write_off
from inventory.services.draws import draw_wood
from inventory.services.holds import firm_up_hold, hold_wood, release_hold
from inventory.services.lots import burn_kept, keep_for_own_use
from inventory.services.moves import move_wood
from inventory.services.parts import merge_lots, sort_out, take_step
from tests.factories.inventory import an_instant, make_lot, make_reading, make_yard

ON, AT = date(2026, 9, 18), an_instant()
TOLD = {"on": ON, "at": AT, "who": "ruth"}
AMOUNTS = st.sampled_from([Fraction(1, 4), Fraction(1, 3), Fraction(2, 3), Fraction(1), Fraction("2.05")])
PROMISES = ("hold", "soft", "release", "firm", "draw", "draw_less", "over")
CHANGES = ("keep", "burn", "lose", "count", "move", "move_all", "split", "sort", "merge")
ACTS = st.tuples(
    st.sampled_from([*PROMISES, *CHANGES]),
    st.integers(0, 9),
    AMOUNTS,
)


def act(kind: str, pick: int, cords: Fraction) -> None:
    lots = list(Lot.objects.order_by("code"))
    lot, other = lots[pick % len(lots)], lots[(pick + 1) % len(lots)]
    holds = list(Hold.objects.filter(state="standing").order_by("pk"))
    if kind in ("release", "firm", "draw", "draw_less", "over"):
        if not holds:
            return
        hold = holds[pick % len(holds)]
        if kind == "release":
            release_hold(hold_id=hold.pk, at=AT)
        elif kind == "firm":
            firm_up_hold(hold_id=hold.pk)
        else:
            amount = {"draw": None, "draw_less": hold.cords / 2, "over": hold.cords + cords}[kind]
            draw_wood(hold_id=hold.pk, cords=amount, on=ON, at=AT, keep_rest=pick % 2 == 0)
        return
    {
        "hold": lambda: hold_wood(
            lot_id=lot.pk, cords=cords, kind="firm", reference=f"order {pick}", made_at=AT
        ),
        "soft": lambda: hold_wood(
            lot_id=lot.pk, cords=cords, kind="soft", reference=f"order {pick}", made_at=AT
        ),
        "keep": lambda: keep_for_own_use(code=lot.code, cords=cords, at=AT, who="ruth"),
        "burn": lambda: burn_kept(code=lot.code, cords=cords, **TOLD),
        "lose": lambda: write_off(code=lot.code, cords=cords, **TOLD),
        "count": lambda: correct_count(code=lot.code, counted=cords, **TOLD),
        "move": lambda: move_wood(code=lot.code, to_yard_id=other.yard_id, cords=cords, **TOLD),
        "move_all": lambda: move_wood(code=lot.code, to_yard_id=other.yard_id, **TOLD),
        "split": lambda: take_step(code=lot.code, step="stacked", cords=cords, **TOLD),
        "sort": lambda: sort_out(
            code=lot.code, cords=cords, mix={"oak": Decimal(100)}, wood="hardwood", name="Oak",
            start_moisture_pct=Decimal(60), **TOLD,
        ),
        "merge": lambda: merge_lots(code=lot.code, into=other.code, **TOLD),
    }[kind]()  # fmt: skip


def wood_in_the_books() -> Fraction:
    return Lot.objects.aggregate(all=Sum("on_hand_cords"))["all"]


class TheBooks(TestCase):
    @settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
    @given(acts=st.lists(ACTS, min_size=1, max_size=12))
    def test_agree_after_anything(self, acts):
        siding, creek = make_yard(), make_yard()
        for yard in (siding, creek):
            make_reading(make_lot(cords=3, yard=yard))
        refusals = []

        for one in acts:
            try:
                act(*one)
            except InventoryError as error:
                refusals.append(str(error))

        for lot in Lot.objects.all():
            standing = Hold.objects.filter(lot=lot, state="standing")
            for kind, column in (("firm", lot.firm_cords), ("soft", lot.soft_cords)):
                assert column == (standing.filter(kind=kind).aggregate(all=Sum("cords"))["all"] or 0)
            assert lot.on_hand_cords == Movement.objects.filter(lot=lot).aggregate(all=Sum("cords"))["all"]
            assert lot.on_hand_cords + lot.short_cords >= lot.firm_cords + lot.soft_cords + lot.kept_cords
        assert all(sentence.endswith(".") for sentence in refusals)

    @settings(max_examples=20, deadline=None)
    @given(
        cords=AMOUNTS, kind=st.sampled_from(["move", "move_all", "split", "sort", "merge", "hold", "keep"])
    )
    def test_never_make_or_lose_wood_by_moving_it_about(self, cords, kind):
        siding, creek = make_yard(), make_yard()
        make_reading(make_lot(cords=3, yard=siding, code="A1"))
        make_reading(make_lot(cords=2, yard=siding if kind == "merge" else creek, code="A2"))
        before = wood_in_the_books()

        act(kind, 0, cords)

        assert wood_in_the_books() == before
