"""Each clause of the first morning's stories and of what was to be built names the test that holds it."""

from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parents[1]
FLOWS, SELLER, SALE = "flows/test_stories_of_the_first_morning.py", "pages/seller", "orders/services"
CLAUSES = {
    "1 markets, towns, ways, limits, months, people, groups, prices, first sale": (FLOWS, "story_1"),
    "1 no page leads to the admin, and each of its fields has a page": (
        "house/test_admin_has_pages.py", "every_field_the_admin_lets_change",
    ),
    "1 yards and towns without typed coordinates": (f"{SELLER}/test_set_up.py", "towns_are_ticked"),
    "1 a metric place asks and shows m³, km and its money": (
        f"{SELLER}/test_local_units.py", "prices_are_typed_shown_and_charged",
    ),
    "2 every edit in every state, whom it touches said before": (
        f"{SELLER}/test_every_correction.py", "every_state_against_every_correction",
    ),
    "2 a phone order by town gets its street, and ends paid": (FLOWS, "story_2"),
    "3 a credit is bounded by what was paid, once, and Today says whom we owe": (FLOWS, "story_3"),
    "3 the rest brought is a hold and a drop": (f"{SALE}/test_claims.py", "wood_to_make_good_is_a_real"),
    "3 money and wood together make good once": (f"{SALE}/test_claims.py", "wood_and_money_together_never"),
    "3 the credit stands on the ticket": (f"{SALE}/test_claims.py", "a_credit_undone_can_be_given_again"),
    "4 a check picked, returned, undone": (FLOWS, "story_4"),
    "4 cash never bounces": (f"{SALE}/test_money.py", "cash_never_bounces"),
    "4 payments, credits and refunds are undone by another line": (
        f"{SALE}/test_money.py", "a_credit_and_a_refund_are_undone",
    ),
    "4 a cancelled order is not due": (f"{SALE}/test_money.py", "a_cancelled_order_is_not_due"),
    "5 a lot's facts are put right, a day to come refused": (
        f"{SELLER}/test_stock.py", "a_wrong_species_and_a_wrong_day",
    ),
    "5 a count below promises is kept, red, with one tap to split": (FLOWS, "story_5"),
    "6 holds lapse by themselves": (FLOWS, "story_6"),
    "6 a day that was told keeps its wood": (
        "flows/test_deliveries_hold.py", "wood_held_until_a_deposit_comes",
    ),
    "6 the first number is what can be sold today, by kind": (
        f"{SELLER}/test_short_lot.py", "the_first_numbers_are_what_can_be_sold",
    ),
    "6 the morning is done once a day by the worker": ("site/test_worker.py", "the_work_of_the_morning"),
    "7 a quote countered, accepted by its link with street, spot and gate": (FLOWS, "story_7"),
    "7 a counter-price warns below its floor": (f"{SELLER}/test_quotes_given.py", "another_price_is_a_quote"),
    "7 whom to call in spring": (f"{SELLER}/test_call_list.py", "by_when_they_usually_ask"),
    "7 money by month, year, way and town": (f"{SELLER}/test_takings.py", "the_year_adds_up_by_month"),
    "first start, in a browser on a real map, timed and counted": (
        "browser/test_first_start.py", "from_empty_books_and_a_real_map",
    ),
    "a live example of a third of a cord 14 miles away": (
        f"{SELLER}/test_price_example.py", "each_price_typed_changes_the_example",
    ),
    "loading roads by upload or path, with progress": (
        "routing/roads/test_roads_from_a_page.py", "a_map_is_in_use_after_it_was_sent_or_named",
    ),
    "messages with their variables, in each language": (f"{SELLER}/test_texts.py", "own_words_are_sent"),
    "customers, orders and lots from a file, tried first": (
        "site/test_bringing_in.py", "customers_are_tried_first",
    ),
    "wait for dry wood": ("pages/customer/test_waiting_list.py", "who_waits_is_told_once"),
    "two of one phone are one history": (f"{SELLER}/test_orders.py", "two_with_one_phone"),
    "a bank's file ticks off transfers": (f"{SELLER}/test_bank.py", "what_was_ticked_is_recorded_once"),
    "the file for the tax preparer": (f"{SELLER}/test_takings.py", "one_month_and_the_file_of_its_lines"),
    "books hold over two hundred steps at random": (
        "flows/test_deliveries_hold.py", "the_books_add_up_after_every_one_of_two_hundred_steps",
    ),
    "no form ends in a 500": ("slow/test_every_form.py", "no_form_ends_in_a_500"),
}  # fmt: skip


@pytest.mark.parametrize("clause", CLAUSES)
def test_each_clause_has_its_test(clause):
    file, name = CLAUSES[clause]

    assert f"def test_{name}" in (TESTS / file).read_text()
