"""The money ledger: due, received, change, overpayment, and who pays first."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from orders.core.payments import BadEntry, Entry, EntryKind, balance_of, hand_over, pay_first
from tests.orders.core.tariff import TODAY


def line(kind: EntryKind, dollars: str, *, on: date = TODAY, method: str = "cash") -> Entry:
    return Entry(kind=kind, dollars=Decimal(dollars), on=on, method=method)


def test_a_deposit_leaves_the_balance_due():
    balance = balance_of(Decimal(242), [line(EntryKind.DEPOSIT, "50.00")])

    assert (balance.received, balance.due, balance.overpaid) == (50, 192, 0)


def test_a_credit_for_short_wood_lowers_what_is_due():
    balance = balance_of(Decimal(300), [line(EntryKind.DEPOSIT, "60"), line(EntryKind.CREDIT, "25")])

    assert (balance.credited, balance.due) == (25, 215)


def test_a_returned_check_makes_its_money_due_again():
    entries = [
        line(EntryKind.PAYMENT, "165", on=date(2026, 1, 5), method="check"),
        line(EntryKind.RETURNED, "-165", on=date(2026, 1, 12), method="check"),
    ]

    balance = balance_of(Decimal(165), entries)

    assert balance.due == 165
    assert balance.returned == 165
    assert balance.returned_on == date(2026, 1, 12)


def test_too_much_money_is_held_until_it_is_refunded():
    paid = [line(EntryKind.PAYMENT, "110")]

    assert balance_of(Decimal(100), paid).overpaid == 10
    assert balance_of(Decimal(100), [*paid, line(EntryKind.REFUND, "-10")]).overpaid == 0


def test_a_total_below_nothing_is_refused():
    with pytest.raises(BadEntry, match="cannot be below zero"):
        balance_of(Decimal(-1), [])


@pytest.mark.parametrize(
    ("kind", "dollars", "sentence"),
    [
        ("payment", "0", "A payment of 0 is not money"),
        ("deposit", "-5", "A deposit of -5 is not money"),
        ("refund", "5", "A refund takes money away"),
        ("returned", "165", "write -165 with a minus sign"),
        ("payment", "1.005", "not an amount in dollars and cents"),
        ("payment", "NaN", "not an amount in dollars and cents"),
        ("barter", "5", "'barter' is not a kind of payment"),
    ],
)
def test_a_line_that_cannot_be_is_refused(kind, dollars, sentence):
    with pytest.raises(BadEntry, match=sentence):
        line(kind, dollars)


def test_cash_above_what_is_due_is_changed_at_the_door():
    handed = hand_over(due=Decimal(192), handed=Decimal(200))

    assert (handed.applied, handed.change, handed.still_due) == (192, 8, 0)
    assert not handed.is_stop
    assert handed.caution == ""


def test_part_payment_leaves_the_rest_due():
    handed = hand_over(due=Decimal(192), handed=Decimal(100), method="check")

    assert (handed.applied, handed.change, handed.still_due, handed.is_stop) == (100, 0, 92, False)


def test_a_check_for_too_much_from_a_stranger_is_a_stop():
    handed = hand_over(due=Decimal(192), handed=Decimal(900), method="check")

    assert handed.is_stop
    assert handed.change == 0
    assert "Send nothing back" in handed.caution


def test_a_buyer_of_old_gets_the_caution_without_the_stop():
    handed = hand_over(due=Decimal(192), handed=Decimal(200), method="transfer", is_known_buyer=True)

    assert not handed.is_stop
    assert "Send nothing back" in handed.caution


@pytest.mark.parametrize(("due", "handed"), [("10", "0"), ("10", "-5"), ("-1", "5")])
def test_money_that_cannot_be_handed_over_is_refused(due, handed):
    with pytest.raises(BadEntry):
        hand_over(due=Decimal(due), handed=Decimal(handed))


def test_a_returned_check_with_money_owed_means_pay_first_with_dated_facts():
    flag = pay_first([], owed=Decimal(165), on=TODAY, bounced_before=date(2026, 1, 12))

    assert flag is not None
    assert str(flag.reason) == "Owes 165.00; check returned Jan 12, 2026. Paid before loading."
    assert flag.days == 249


def test_a_returned_check_that_was_made_good_is_forgiven():
    entries = [line(EntryKind.RETURNED, "-165", on=date(2026, 1, 12))]

    assert pay_first(entries, owed=Decimal(0), on=TODAY) is None
    assert pay_first(entries, owed=Decimal(165), on=TODAY) is not None


def test_money_owed_alone_does_not_mean_pay_first():
    assert pay_first([line(EntryKind.DEPOSIT, "50")], owed=Decimal(192), on=TODAY) is None


CENTS = st.integers(min_value=1, max_value=10**6).map(lambda cents: Decimal(cents) / 100)
ENTRIES = st.lists(
    st.one_of(
        st.builds(
            Entry, kind=st.sampled_from(["deposit", "payment", "credit"]), dollars=CENTS, on=st.just(TODAY)
        ),
        st.builds(
            Entry,
            kind=st.sampled_from(["refund", "returned"]),
            dollars=CENTS.map(lambda dollars: -dollars),
            on=st.just(TODAY),
        ),
    ),
    max_size=12,
)


@given(total=CENTS, entries=ENTRIES)
def test_the_ledger_always_adds_up_in_any_order(total, entries):
    balance = balance_of(total, entries)

    assert balance.total == balance.received + balance.credited + balance.due - balance.overpaid
    assert not (balance.due and balance.overpaid)
    assert balance == balance_of(total, list(reversed(entries)))


@given(due=CENTS, handed=CENTS, method=st.sampled_from(["cash", "check", "transfer"]))
def test_no_cent_is_lost_at_the_door(due, handed, method):
    result = hand_over(due=due, handed=handed, method=method)

    assert result.applied + result.change == handed
    assert result.still_due == max(due - handed, 0)
    assert result.change == 0 or method == "cash"
