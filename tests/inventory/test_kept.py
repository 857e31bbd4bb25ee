"""What the books keep as a sentence is worded for whoever reads it; what somebody typed stays as typed."""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from inventory.core.gaps import Cords, FullDate, Money, Stopped, joined
from inventory.core.kept import at_most, keep, kept
from inventory.core.sentences import Sentence, text_of
from orders.models import Customer
from orders.services.payments import CHECK_RETURNED
from tests.factories.orders import make_customer

CHECK = Sentence(
    "Check of {dollars:.2f} for order {number} returned {day}.",
    {"dollars": Decimal("165"), "number": 204, "day": FullDate(date(2026, 1, 12))},
)


@pytest.mark.parametrize(
    "thing",
    [
        CHECK,
        Sentence("{a}, {b}", {"a": Stopped(Sentence("nothing")), "b": joined([Cords(Fraction(1, 3)), "K1"])}),
        "no fir left",
        None,
    ],
)
def test_what_was_kept_comes_back_the_same(thing):
    assert kept(keep(thing)) == thing


@pytest.mark.django_db
def test_a_sentence_in_the_books_is_read_in_both_languages():
    customer = make_customer("Marlow Finch", phone="+15415550144", pay_first=True, pay_first_reason=CHECK)

    reason = Customer.objects.get(pk=customer.pk).pay_first_reason

    assert str(reason) == "Check of 165.00 for order 204 returned Jan 12, 2026."
    assert reason.text_in("es") != str(reason)
    assert "12 ene 2026" in reason.text_in("es")


def test_a_bounced_check_is_told_with_its_sign_and_in_spanish_without_an_english_word():
    gaps = {"dollars": Money(Decimal("165.00")), "number": 153, "day": FullDate(date(2026, 1, 12))}
    reason = kept(keep(Sentence(CHECK_RETURNED, gaps)))

    assert str(reason) == "Check of $165 for order 153 returned Jan 12, 2026."
    assert reason.text_in("es") == "Cheque de $165 del pedido 153 devuelto el 12 ene 2026."
    assert CHECK.text_in("es").startswith("Cheque de 165.00 del pedido 204")


@pytest.mark.django_db
@pytest.mark.parametrize(
    "typed",
    [
        "owes for March",
        "{name}",
        '{"say": 3',
        '{"say": "{x.__class__}", "gaps": {"x": {"date": "2026-09-18"}}}',
        '{"say": "", "gaps": {}}',
    ],
)
def test_typed_words_stay_as_typed(typed):
    customer = make_customer("Marlow Finch", phone="+15415550144")
    customer.pay_first_reason = typed
    customer.full_clean()
    customer.save()

    reason = Customer.objects.get(pk=customer.pk).pay_first_reason

    assert str(reason) == typed
    assert text_of(reason, "es") == typed


def test_typed_words_are_cut_and_sentences_are_not():
    assert at_most(4, " no fir left") == "no f"
    assert at_most(4, CHECK) is CHECK
