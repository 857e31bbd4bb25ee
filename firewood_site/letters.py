"""Messages to customers, kept with the step they tell of: e-mails to send, texts for the seller's phone."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from fractions import Fraction
from urllib.parse import quote as url_quote
from urllib.parse import urlencode

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.urls import reverse
from django.utils import translation

from firewood_site.access import order_path
from firewood_site.wood_words import paid_ahead, wood_title
from inventory.core.local import money_words
from inventory.core.sentences import say, text_of
from inventory.selectors.business import BusinessRow, business
from inventory.selectors.spoken import in_own_words
from orders.core import lifecycle, phrases
from orders.core.order_request import How, OrderRequest
from orders.core.phrases import LetterText, MissingWords
from orders.core.places import place_rule
from orders.selectors.customers import reminder_season, wanting_reminder
from orders.selectors.orders import OrderView, order_view, orders_of_customer
from orders.selectors.own_texts import own_texts
from orders.selectors.prices import PayWay, pay_ways
from orders.selectors.waiting import WaitingRow
from orders.services.customers import mark_reminded, phone_words
from orders.services.letters import keep_letter
from orders.services.waiting import mark_waiting_told
from routing.quoting.pick_up import yards_of

REMINDER_SALT = "firewood.reminder"
ABOUT_MINUTES = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyText:
    """A text message the seller's own phone can send with one tap."""

    kind: str
    text: str
    sms: str  # sms: link with the words in it
    phone: str
    language: str


def order_link(view: OrderView) -> str:
    """The full address of an order's own page."""
    return f"{settings.SITE_URL}{order_path(view.number, view.link_secret)}"


def payment_reference(view: OrderView) -> str:
    """What to write with money paid ahead, so that it finds its order: "QRW-213"."""
    return f"{reference_initials()}-{view.number}"


def reference_initials() -> str:
    """The seller's letters in a payment reference: "QRW"."""
    return "".join(word[0] for word in business().name.split() if word[0].isalnum()).upper()


def deposit_ways() -> tuple[PayWay, ...]:
    """Ways on offer that say how to pay ahead, in the reader's language where the seller wrote it in that."""
    return tuple(
        replace(way, instructions=in_own_words(way.instructions, anyway=True))
        for way in pay_ways()
        if way.instructions
    )


def stop_link(customer_id: int) -> str:
    """The full address of the page whose one button stops reminders."""
    token = signing.dumps(customer_id, salt=REMINDER_SALT)
    return f"{settings.SITE_URL}{reverse('reminder-stop', args=[token])}"


def read_stop_token(token: str) -> int | None:
    """The customer a stop link is for; None if it was tampered with."""
    try:
        return int(signing.loads(token, salt=REMINDER_SALT))
    except (signing.BadSignature, ValueError, TypeError):
        return None


def tell(
    number: int, kind: str, *, at: datetime, by_phone: bool = False, day: date | None = None, **more: str
) -> int | None:
    """Keep a letter about an order for the worker to send; its id.

    by_phone: kept for the seller to tell though there is an e-mail address. day: the one it is about, where
    that is not the order's own any more.

    Call it inside the transaction of the step it tells of: either both are kept or neither is. People without
    e-mail get a text kept for the seller's phone. A letter that lacks a fact is not written: the step has
    happened all the same.
    """
    view = order_view(number)
    if view is None:
        return None
    if day is not None:
        more["day"] = phrases.day_words(day, language=view.customer.language)
    try:
        letter = letter_for(view, kind, **more)
    except MissingWords:
        return None
    is_email = bool(view.customer.email) and not by_phone
    phone = view.customer.phone or view.customer.shown_phone
    return keep_letter(
        number=number,
        customer_id=view.customer.id,
        kind=kind,
        is_email=is_email,
        to=(view.customer.email if is_email else phone or view.customer.email) or "no address",
        subject=letter.subject,
        body=letter.body if is_email else letter.text,
        at=at,
    )


def remind(*, on: date, at: datetime) -> int:
    """Write this season's reminders to those who asked for one, nobody twice; how many were written."""
    season, written = reminder_season(on), 0
    for customer_id in wanting_reminder(season=season):
        last = next(iter(orders_of_customer(customer_id)), None)
        with transaction.atomic():
            if last is not None and mark_reminded(customer_id=customer_id, season=season):
                written += tell(last.number, "reminder", at=at) is not None
    return written


def tell_waiting(row: WaitingRow, *, at: datetime) -> bool:
    """Write to somebody on the waiting list that their wood can be had; False when they were told before."""
    seller = business()
    wanted = urlencode({"choice": f"{row.wood}:{row.dryness}"}) if row.wood else ""
    with translation.override(row.language):
        wood = wood_title(row.wood, row.dryness)
    facts = {
        "name": row.name,
        "wood": wood,
        "link": f"{settings.SITE_URL}{reverse('quote')}{'?' if wanted else ''}{wanted}",
        "seller": seller.name,
        "phone": phone_words(seller.phone) or seller.email or seller.name,
    }
    own = own_texts("wood_ready", row.language)
    letter = phrases.letter("wood_ready", language=row.language, facts=facts, own=own)
    with transaction.atomic():
        if not mark_waiting_told(entry_id=row.id, at=at):
            return False
        keep_letter(
            number=None,
            customer_id=row.customer_id,
            kind=letter.kind,
            is_email=bool(row.email),
            to=row.email or row.phone,
            subject=letter.subject,
            body=letter.body if row.email else letter.text,
            at=at,
        )
    return True


def letter_for(view: OrderView, kind: str, **more: str) -> LetterText:
    """The words of a letter about an order, in its customer's language.

    Errors
        MissingWords: a fact it has to tell is not known.
    """
    if kind == "confirmed" and view.deposit_due:
        kind = "confirmed_deposit"
    language = view.customer.language
    facts = {**facts_of(view), **more}
    if kind == "pool_waiting" and view.promise.waits_until:
        facts["day"] = phrases.day_words(view.promise.waits_until, language=language)
    facts["reason"] = facts["reason"] or phrases.usual_reason(kind, language=language)
    if not facts.get("time") and view.promise.comes_to:
        facts["time"] = about_clock(view.promise.comes_to, language=language)
    return phrases.letter(kind, language=language, facts=facts, own=own_texts(kind, language))


def ready_text(view: OrderView, kind: str, **more: str) -> ReadyText | None:
    """A text for the seller's own phone; None when it has a gap or the phone is a landline."""
    try:
        letter = letter_for(view, kind, **more)
    except MissingWords:
        return None
    return ReadyText(
        kind=kind,
        text=letter.text,
        sms=sms_link(view.customer.phone, letter.text),
        phone=view.customer.phone,
        language=view.customer.language,
    )


def sms_link(phone: str, text: str) -> str:
    """An sms: link (RFC 5724) with the words ready."""
    return f"sms:{phone}?body={url_quote(text, safe='')}"


def facts_of(view: OrderView) -> Mapping[str, str]:
    """What letters may say about an order; unknown facts are left empty."""
    seller = business()
    language = view.customer.language
    day = view.promise.promised_on
    return {
        "order": str(view.number),
        "name": view.customer.name,
        "wood": wood_words(view, seller=seller),
        "total": money_words(view.price.total),
        "due": money_words(view.balance.due),
        "paid": money_words(view.balance.received),
        "deposit": money_words(view.deposit_due),
        "deposit_how": _deposit_how(language) if view.deposit_due else "",
        "reference": payment_reference(view) if view.deposit_due else "",
        "link": order_link(view),
        "seller": seller.name,
        "phone": phone_words(seller.phone) or seller.email or seller.name,
        "reason": str(text_of(view.ended_reason, language)),
        "day": phrases.day_words(day, language=language) if day else "",
        "window": phrases.window_words(*view.promise.hours, language=language),
        "cut_off": cut_off_words(day, seller=seller, language=language) if day else "",
        "stop_link": stop_link(view.customer.id),
        "next": _next_step(view),
    }


def _next_step(view: OrderView) -> str:
    """What comes after the seller's yes: a letter with the day, or the way to the yard."""
    language = view.customer.language
    if view.how != How.PICK_UP:
        return say("We write again when the day is set.", language=language)
    yard = next(iter(yards_of(view)), None)
    if yard is None:
        return say("Call us for a day to pick it up.", language=language)
    day, hours = (
        view.promise.promised_on,
        phrases.window_words(yard.opens_at, yard.closes_at, language=language),
    )
    if day is None:
        return say(
            "Call us for a day, and pick it up at {yard}, open {hours}.",
            language=language,
            yard=yard.name,
            hours=hours,
        )
    return say(
        "Pick it up on {day} at {yard}, open {hours}.",
        language=language,
        day=phrases.day_words(day, language=language),
        yard=yard.name,
        hours=hours,
    )


def _deposit_how(language: str) -> str:
    """Each way to pay ahead with the seller's own words for it; a phone number where none has any."""
    with translation.override(language):
        ways = deposit_ways()
        if not ways:
            return say("Call us and we tell you how.", language=language)
        return "\n".join(f"- {paid_ahead(way.name)}: {way.instructions}" for way in ways)


def wood_words(view: OrderView, *, seller: BusinessRow | None = None, language: str = "") -> str:
    """What was ordered, or was delivered of it, in the words of the place and the customer's language."""
    return ordered_words(
        wood=view.wood,
        dryness=view.dryness,
        cords=view.cords if view.delivered_cords is None else view.delivered_cords,
        bundles=view.bundles,
        market=view.market,
        place_key=(seller or business()).place_key,
        language=language or view.customer.language,
    )


def ordered_words(
    *, wood: str, dryness: str, cords: Fraction, bundles: int, market: str, place_key: str, language: str
) -> str:
    """An amount of a wood in words."""
    order_request = OrderRequest(
        wood=wood,
        market=market,
        cords=cords,
        bundles=bundles,
        dryness=dryness,
        how=How.PICK_UP,
    )
    return phrases.request_text(order_request, rule=place_rule(place_key), language=language)


def cut_off_words(day: date, *, seller: BusinessRow, language: str) -> str:
    """Until when a customer may change: "noon"-like hour and day."""
    at = lifecycle.cut_off_at(day, hour=seller.change_cut_off_hour)
    hour = phrases.clock_words(at.time(), language=language)
    return f"{phrases.day_words(at.date(), language=language)} {hour}"


def about_clock(at: datetime | time, *, language: str) -> str:
    """A time to come, as near as anybody can say it on the road: to five minutes."""
    moment = at if isinstance(at, datetime) else datetime.combine(date(2000, 1, 1), at)
    minutes = ABOUT_MINUTES * round((moment.minute + moment.second / 60) / ABOUT_MINUTES)
    near = moment.replace(minute=0, second=0) + timedelta(minutes=minutes)
    return phrases.clock_words(near.time(), language=language)
