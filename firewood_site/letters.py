"""Messages to customers, written after the step they tell of: by e-mail, or ready for the seller's phone."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from urllib.parse import quote as url_quote

from django.conf import settings
from django.core import signing
from django.db import transaction
from django.urls import reverse

from firewood_site.access import order_path
from inventory.selectors.business import BusinessRow, business
from orders.core import lifecycle, phrases
from orders.core.phrases import LetterText, MissingWords
from orders.core.places import place_rule
from orders.core.wants import How, Want
from orders.selectors.customers import wanting_reminder
from orders.selectors.orders import OrderView, order_view, orders_of_customer
from orders.services.customers import mark_reminded, phone_words
from orders.services.letters import keep_letter
from orders.tasks import send_letter

REMINDER_SALT = "firewood.reminder"
REMINDER_MONTHS = (2, 8)
ABOUT_MINUTES = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadyText:
    """A text message the seller's own phone can send with one tap."""

    kind: str
    text: str
    sms: str  # sms: link with the words in it
    phone: str


def order_link(view: OrderView) -> str:
    """The full address of an order's own page."""
    return f"{settings.SITE_URL}{order_path(view.number, view.link_secret)}"


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


def tell(number: int, kind: str, *, at: datetime, **more: str) -> int | None:
    """Write the customer about their order and send it in the background; the letter's id.

    People without e-mail get a text kept for the seller's phone. A letter that lacks a fact is not sent:
    the step it tells of has happened all the same.
    """
    view = order_view(number)
    if view is None:
        return None
    try:
        words = letter_for(view, kind, **more)
    except MissingWords:
        return None
    letter_id = keep_letter(
        number=number,
        customer_id=view.customer_id,
        kind=kind,
        is_email=bool(view.email),
        to=view.email or view.phone or view.phone_as_typed or "no address",
        subject=words.subject,
        body=words.body if view.email else words.text,
        at=at,
    )
    if view.email:
        transaction.on_commit(lambda: send_letter.enqueue(letter_id))
    return letter_id


def remind(*, on: date, at: datetime) -> int:
    """Write this season's reminders to those who asked for one; how many were written.

    Twice a year, when people order: late winter and August (common practice). Nobody gets one twice.
    """
    if on.month not in REMINDER_MONTHS:
        return 0
    season = f"{on.year}-{on.month:02d}"
    written = 0
    for customer_id in wanting_reminder(season=season):
        last = next(iter(orders_of_customer(customer_id)), None)
        if last is None or not mark_reminded(customer_id=customer_id, season=season):
            continue
        written += tell(last.number, "reminder", at=at) is not None
    return written


def letter_for(view: OrderView, kind: str, **more: str) -> LetterText:
    """The words of a letter about an order, in its customer's language.

    Errors
        MissingWords: a fact it has to tell is not known.
    """
    facts = {**facts_of(view), **more}
    facts["reason"] = facts["reason"] or phrases.usual_reason(kind, language=view.language)
    if not facts.get("time") and view.comes_to:
        facts["time"] = about_clock(view.comes_to, language=view.language)
    return phrases.letter(kind, language=view.language, facts=facts)


def ready_text(view: OrderView, kind: str, **more: str) -> ReadyText | None:
    """A text for the seller's own phone; None when it has a gap or the phone is a landline."""
    try:
        words = letter_for(view, kind, **more)
    except MissingWords:
        return None
    return ReadyText(kind=kind, text=words.text, sms=sms_link(view.phone, words.text), phone=view.phone)


def sms_link(phone: str, text: str) -> str:
    """An sms: link (RFC 5724) with the words ready."""
    return f"sms:{phone}?body={url_quote(text, safe='')}"


def facts_of(view: OrderView) -> Mapping[str, str]:
    """What letters may say about an order; unknown facts are left empty."""
    seller = business()
    language = view.language
    day = view.promised_on
    window = (view.comes_from, view.comes_to) if view.comes_from and view.comes_to else None
    return {
        "order": str(view.number),
        "name": view.customer,
        "wood": wood_words(view, seller=seller),
        "total": phrases.money_words(view.total),
        "due": phrases.money_words(view.balance.due),
        "paid": phrases.money_words(view.balance.received),
        "link": order_link(view),
        "seller": seller.name,
        "phone": phone_words(seller.phone) or seller.email or seller.name,
        "reason": view.ended_reason,
        "day": phrases.day_words(day, language=language) if day else "",
        "window": phrases.window_words(*(window or (view.window_from, view.window_to)), language=language),
        "cut_off": cut_off_words(day, seller=seller, language=language) if day else "",
        "stop_link": stop_link(view.customer_id),
    }


def wood_words(view: OrderView, *, seller: BusinessRow | None = None, language: str = "") -> str:
    """What was ordered, in the words of the place and the customer's language."""
    return ordered_words(
        wood=view.wood,
        dryness=view.dryness,
        cords=view.cords,
        bundles=view.bundles,
        market=view.market,
        place_key=(seller or business()).place_key,
        language=language or view.language,
    )


def ordered_words(
    *, wood: str, dryness: str, cords: Fraction, bundles: int, market: str, place_key: str, language: str
) -> str:
    """An amount of a wood in words."""
    want = Want(
        wood=wood,
        market=market,
        cords=cords,
        bundles=bundles,
        dryness=dryness,
        how=How.PICK_UP,
    )
    return phrases.want_words(want, rule=place_rule(place_key), language=language)


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


def day_in_words(on: date, *, language: str) -> str:
    return phrases.day_words(on, language=language)


def dollars_words(dollars: Decimal) -> str:
    return phrases.money_words(dollars)
