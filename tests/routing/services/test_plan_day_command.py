"""The day planned from the terminal."""

from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from orders.models import Order
from routing.models import Day, Stop


def told(*args: str) -> str:
    out = StringIO()
    call_command("plan_day", *args, stdout=out)
    return out.getvalue()


def test_it_plans_what_may_go_and_says_what_it_costs(friday):
    said = told("2026-09-18", "--steps", "100", "--from", "07:30")

    assert said.startswith("3 drops, $")
    assert Stop.objects.count() == 3
    assert Day.objects.get().state == Day.State.DRAFT


def test_it_can_commit(friday):
    told("2026-09-18", "--steps", "50", "--orders", "202", "--commit")

    assert Order.objects.get(number=202).state == Order.State.PLANNED
    with pytest.raises(CommandError, match="is committed"):
        told("2026-09-18", "--steps", "50")


@pytest.mark.parametrize(
    ("args", "words"),
    [
        (("tomorrow",), "write it as 2026-09-18"),
        (("2026-09-18", "--from", "dawn"), "write it as 07:30"),
        (("2027-01-01",), "No confirmed order"),
    ],
)
def test_what_it_cannot_do_it_says_in_a_sentence(friday, args, words):
    with pytest.raises(CommandError, match=words):
        told(*args)
