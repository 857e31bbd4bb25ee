"""Each clause of the first morning's stories and of what was to be built names the test that holds it."""

from pathlib import Path

import pytest

TESTS = Path(__file__).resolve().parents[1]
FLOWS, SELLER, SALE = "flows/test_stories_of_the_first_morning.py", "pages/seller", "orders/services"
CLAUSES_FLOW = "flows/test_clauses_of_the_first_morning.py"
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
    "two of one phone are one history": (f"{SELLER}/test_customers.py", "two_with_one_phone"),
    "a bank's file ticks off transfers": (f"{SELLER}/test_bank.py", "what_was_ticked_is_recorded_once"),
    "the file for the tax preparer": (f"{SELLER}/test_takings.py", "one_month_and_the_file_of_its_lines"),
    "1 a sheet without prices is refused with a sentence": (
        f"{SELLER}/test_first_start.py", "a_sheet_that_prices_nothing_is_refused",
    ),
    "1 one price is enough": (f"{SELLER}/test_first_start.py", "one_price_a_cord_is_enough"),
    "1 a market's key may hold a hyphen": (f"{SELLER}/test_first_start.py", "a_market_with_a_hyphen"),
    "1 money can be taken before a way to pay is named": (
        f"{SELLER}/test_set_up.py", "cash_is_offered_until_a_way_to_pay",
    ),
    "1 currency and language are chosen": (f"{SELLER}/test_local_units.py", "settings_choose_currency"),
    "1 a picture beside the name": ("pages/customer/test_people_photos.py", "the_sellers_picture_stands"),
    "1 empty books say what is missing and lead to it, resumable": (
        f"{SELLER}/test_set_up.py", "empty_books_say_what_keeps_them",
    ),
    "1 nothing is offered that empty books can't do": (
        f"{SELLER}/test_first_start.py", "empty_books_offer_no_form",
    ),
    "1 a plate in kilograms is read as such": (f"{SELLER}/test_lines.py", "a_plate_in_kilograms"),
    "2 an order with bundles, in every state": (
        f"{SELLER}/test_bundle_corrections.py", "every_state_of_an_order_with_bundles",
    ),
    "2 an order under the wrong name": (f"{SELLER}/test_whose_order.py", "it_is_said_whom_it_touches"),
    "2 a corrected ticket names the one it replaces": (
        f"{SELLER}/test_bundle_corrections.py", "every_state_of_an_order_with_bundles",
    ),
    "3 a right credit on a paid order is owed back, no fraud warning": (CLAUSES_FLOW, "a_right_credit_on"),
    "3 the same shortfall is paid once": (f"{SALE}/test_claims.py", "the_same_shortfall_is_not_made_good"),
    "3 a claim told by phone": (CLAUSES_FLOW, "a_complaint_told_by_phone"),
    "4 a transfer never brands its payer, a check is picked": (FLOWS, "story_4"),
    "4 a bounced check undone takes its note away": (
        f"{SALE}/test_money.py", "a_bounced_check_marked_by_mistake",
    ),
    "4 refunds by any way, undone too": (CLAUSES_FLOW, "money_goes_back_by_any_way"),
    "4 record is not one tap": (CLAUSES_FLOW, "one_tap_on_record_books_nothing"),
    "4 a payment is undone": (f"{SALE}/test_money.py", "a_payment_entered_by_mistake_is_undone"),
    "4 a decline taken back is told to nobody": (
        f"{SELLER}/test_order_change.py", "a_decline_taken_back_is_told_to_nobody",
    ),
    "4 a delivery marked by mistake": (f"{SELLER}/test_undelivered.py", "while_the_truck_is_out_the_drop"),
    "5 a lot's history is kept": ("inventory/services/test_lots.py", "the_count_is_corrected_by_a_movement"),
    "5 a day to come is refused": (f"{SELLER}/test_stock.py", "a_day_to_come_is_refused"),
    "5 one tap moves what a short lot can't give": (
        f"{SELLER}/test_short_lot.py", "one_tap_splits_the_newest_promise",
    ),
    "5 an expense is taken back": (f"{SELLER}/test_stock.py", "money_out_is_written_down_and_taken_back"),
    "6 a far town is not promised today": (CLAUSES_FLOW, "a_far_town_is_not_promised_today"),
    "6 pickup only where it is allowed": (CLAUSES_FLOW, "pickup_is_offered_only_where"),
    "6 prices are whole": (CLAUSES_FLOW, "every_price_and_every_days_price_is_whole"),
    "6 any amount": (f"{SELLER}/test_quote_for_a_text.py", "a_quote_may_be_for_any_fraction"),
    "6 measuring into a new lot keeps form, sizes and range": (
        f"{SELLER}/test_measuring.py", "a_measured_heap_of_no_lot_opens_one",
    ),
    "6 loads of a rig are an amount, too": (f"{SELLER}/test_quote_for_a_text.py", "a_quote_may_be_for_loads"),
    "1 the address that a ticket must carry is asked for before the first delivery": (
        f"{SELLER}/test_set_up.py", "an_address_that_tickets_must_carry",
    ),
    "1 a metric place starts from whole figures and sells whole cubic meters": (
        f"{SELLER}/test_metric_first_sheet.py", "buyers_tap_whole",
    ),
    "1 a metric place's ground is in hectares": ("pages/test_metric_places.py", "ground_and_its_plots"),
    "6 money is in the menu": ("house/test_menu.py", "a_menu_link_leads_somewhere"),
    "6 a write-off's refusal": (CLAUSES_FLOW, "more_written_off_than_is_there"),
    "6 Today says when the daily work failed, health tells more": (
        "site/test_worker.py", "health_tells_strangers_yes_or_no",
    ),
    "7 quotes are listed: waiting, answered, lapsed": (
        f"{SELLER}/test_quotes_given.py", "a_quote_waits_in_the_list",
    ),
    "7 the text has a link to accept": (f"{SELLER}/test_quotes_given.py", "the_text_has_a_link"),
    "people are invited by a link": ("site/test_invitations.py", "by_the_link_they_choose_a_password"),
    "people are invited by a code read aloud": ("site/test_invitations.py", "by_the_code_read_aloud"),
    "roles are changed": (f"{SELLER}/test_set_up.py", "who_may_do_what_is_changed"),
    "road limits and past seasons": (f"{SELLER}/test_set_up.py", "posted_limits_and_older_months"),
    "roads taken or avoided": ("routing/roads/test_road_marks.py", "the_seller_marks_a_road"),
    "estimates until the roads are loaded": (
        "routing/roads/test_roads_from_a_page.py", "while_it_is_loaded_the_page_says",
    ),
    "orders and what was paid from a file": ("site/test_bringing_in.py", "delivered_orders_come_with"),
    "lots from a workbook": ("site/test_bringing_in.py", "lots_of_a_workbook"),
    "columns are matched on screen": ("site/test_bringing_in.py", "columns_that_were_guessed_wrong"),
    "who was called is off the list": (f"{SELLER}/test_call_list.py", "a_ready_text_in_their_language"),
    "two hundred steps of the books": (
        "flows/test_books_hold.py", "the_books_add_up_after_every_one_of_two_hundred_steps",
    ),
    "books hold over two hundred steps at random": (
        "flows/test_deliveries_hold.py", "the_books_add_up_after_every_one_of_two_hundred_steps",
    ),
    "no form ends in a 500": ("slow/test_every_form.py", "no_form_ends_in_a_500"),
}  # fmt: skip


@pytest.mark.parametrize("clause", CLAUSES)
def test_each_clause_has_its_test(clause):
    file, name = CLAUSES[clause]

    assert f"def test_{name}" in (TESTS / file).read_text()
