"""How amounts, money, drives and days are written on every page."""

import re
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import template
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext

from firewood_site.helper_rights import may
from firewood_site.stacked import stacked_table
from inventory.core.gaps import Month
from inventory.core.local import MINUS, in_local_units, local, to_the_cent, whole_money
from inventory.core.units import by_the_unit, cubic_meters, format_cords, miles_of, parse_cords
from inventory.selectors import spoken
from inventory.selectors.spoken import reader_language, spoken_cords
from orders.core.languages import clock_words
from orders.services.customers import phone_words

register = template.Library()

HALF_A_MINUTE = 30
ISO_DAY = re.compile(r"\b(?:19|20)\d\d-(?:0[1-9]|1[0-2])-(?:0[1-9]|[12]\d)\b")
A_CORD = re.compile(r"\b((?:(?:to|for|in|of|on) )?)(?:a|one|per)(?: stacked)? cord\b")
AUDIT_CORDS = {"cords", "kept", "on hand", "room cords"}
AUDIT_DOLLARS = {"dollars", "total", "rent month", "loaded", "empty"}
AUDIT_CENTS = {"cost"}  # a day's road and driver


@register.filter
def cords(amount: Any) -> str:
    """ "1/3 cord", "1 1/2 cords", "2.80 cords"."""
    if amount is None or amount == "":
        return ""
    return spoken_cords(amount if isinstance(amount, Fraction) else Fraction(str(amount)))


def _exact(figure: Any) -> Decimal:
    """A figure of a page as a decimal, thirds to the last digit that counts."""
    if isinstance(figure, Fraction):
        return Decimal(figure.numerator) / figure.denominator
    return Decimal(str(figure))


@register.filter
def stocked(amount: Any) -> str:
    """What lies in a yard is measured, in hundredths; sales are in fractions: "2.25 cords", "4 cords"."""
    if amount is None or amount == "":
        return ""
    if local().is_metric:
        return f"{volume(amount)} m³"
    exact = round(Fraction(str(amount)) * 100)
    noun = "cord" if 0 < exact <= 100 else "cords"
    return f"{volume(Fraction(exact, 100), 2 if exact % 100 else 0)} {gettext(noun)}"


@register.filter
def dollars(amount: Any) -> str:
    if amount is None or amount == "":
        return ""
    return to_the_cent(_exact(amount)).replace("-", MINUS, 1)


@register.filter
def whole_dollars(amount: Any) -> str:
    """Without cents where there are none: "$242", "$19.33"."""
    text = dollars(amount)
    return text[:-3] if text.endswith(".00") else text


@register.filter
def round_dollars(amount: Any) -> str:
    """An estimate, to the dollar: "$34"."""
    if amount is None or amount == "":
        return ""
    return whole_money(_exact(amount)).replace("-", MINUS, 1)


register.filter("in_language", spoken.in_language)


register.filter("own_words", spoken.in_own_words)


@register.filter
def own_words_anyway(text: str) -> str:
    """What the seller wrote, in the reader's language, else as it stands: directions help in any."""
    return spoken.in_own_words(text, anyway=True)


@register.filter
def of(words: Any) -> str:
    """What an amount is of, behind it: "1/2 cord fir", "1/2 cuerda de abeto"."""
    return f"de {words}" if reader_language() == "es" else str(words)


@register.filter
def lower_first(words: Any) -> str:
    """Words that go on in a sentence: "split now"."""
    text = str(words)
    return text[:1].lower() + text[1:]


@register.filter
def cents_dollars(cents: Any) -> str:
    return "" if cents is None or cents == "" else dollars(Decimal(int(cents)) / 100)


@register.filter
def miles(amount: Any) -> str:
    return (
        ""
        if amount is None or amount == ""
        else f"{local().distance(_exact(amount)):,.1f} {local().distance_unit}"
    )


@register.filter
def here(text: Any) -> str:
    """A label in the money and the units of the seller's place: {{ "Loaded mile"|here }}."""
    said = str(text)  # a lazy text shows only now whether it is safe HTML
    words = in_local_units(said)
    return mark_safe(words) if isinstance(said, SafeString) else words


@register.filter
def road(miles: Any, places: int = 1) -> str:
    """Miles as a bare figure in the unit of the place, for a column headed {{ "Miles"|here }}."""
    return "" if miles in (None, "") else f"{local().distance(_exact(miles)):,.{places}f}"


@register.filter
def volume(cords: Any, places: int = 2) -> str:
    """Cords as a bare figure in the unit of the place, for a column headed {{ "Cords"|here }}.

    places: below zero, a whole figure has none.
    """
    if cords in (None, ""):
        return ""
    exact = cords if isinstance(cords, Fraction) else Fraction(str(cords))
    figure = float(cubic_meters(exact) if local().is_metric else exact)
    shown = f"{figure:,.{abs(places)}f}"
    return shown.removesuffix("." + "0" * -places) if places < 0 else shown


@register.filter
def chip_amount(size: Any) -> str:
    """An amount to tap, which is in cords: "1/3", or "1.21 m³" where the place counts those."""
    text = str(size)
    return format_cords(parse_cords(text)) if local().is_metric and "m³" not in text else text


@register.filter
def whole_cord(text: Any) -> str:
    """A cord named in words, as what it is in the place's unit: "a cord" -> "for 3.62 m³"."""
    if not local().is_metric:
        return str(text)
    return A_CORD.sub(lambda found: f"{found[1] or 'for '}{format_cords(Fraction(1))}", str(text))


@register.filter
def wood_rate(rate: Any) -> Decimal | None:
    """A rate by the cord as the place reads it: {{ price|wood_rate|dollars }} {{ "a cord"|here }}."""
    return None if rate is None or rate == "" else by_the_unit(_exact(rate))


@register.filter
def mile_dollars(rate: Any) -> str:
    """A cost of the mile, of the km where the place counts them: {{ cost.loaded_mile|mile_dollars }}."""
    return "" if rate is None or rate == "" else dollars(_exact(rate) / local().distance(Decimal(1)))


@register.filter
def meters_miles(meters: Any) -> str:
    return "" if meters is None or meters == "" else miles(miles_of(int(meters)))


@register.filter
def hours_minutes(minutes: Any) -> str:
    """ "1 h 5 min", "25 min"."""
    if minutes is None or minutes == "":
        return ""
    whole = round(float(minutes))
    sign = "−" if whole < 0 else ""
    hours, rest = divmod(abs(whole), 60)
    if not hours:
        return f"{sign}{rest} min"
    return f"{sign}{hours} h {rest} min" if rest else f"{sign}{hours} h"


@register.filter
def seconds_minutes(seconds: Any) -> str:
    return "" if seconds is None or seconds == "" else hours_minutes(Decimal(int(seconds)) / 60)


@register.filter
def more_cents(cents: int) -> str:
    """A change of cost: "+$6.40", "−$4.00", "same cost"."""
    return (
        f"+{cents_dollars(cents)}" if cents > 0 else cents_dollars(cents) if cents else gettext("same cost")
    )


@register.filter
def more_minutes(seconds: int) -> str:
    """A change of time: "+11 min", "−1 h 5 min", "same time"."""
    minutes = round(seconds / 60)
    if not minutes:
        return gettext("same time")
    return f"+{hours_minutes(minutes)}" if minutes > 0 else hours_minutes(minutes)


@register.filter
def clock(at: Any) -> str:
    """ "8:47 am", to the nearest minute."""
    if isinstance(at, timedelta):
        total = int(at.total_seconds())
        at = time(total // 3600 % 24, total // 60 % 60)
    if isinstance(at, datetime):
        at = timezone.localtime(at).time() if timezone.is_aware(at) else at.time()
    if not isinstance(at, time):
        return ""
    minutes = at.hour * 60 + at.minute + (at.second >= HALF_A_MINUTE)
    at = time(minutes // 60 % 24, minutes % 60)
    return clock_words(at, language=reader_language())


@register.filter
def clock_short(at: Any) -> str:
    """The hour alone: "8:47", "13:26" where hours are counted to 24."""
    return clock(at).removesuffix(" am").removesuffix(" pm")


@register.filter
def day(on: Any) -> str:
    """ "Fri, Sep 18", "vie 18 sep": as the reader's language writes it."""
    if isinstance(on, datetime):
        on = timezone.localtime(on).date() if timezone.is_aware(on) else on.date()
    return spoken.short_day(on) if isinstance(on, date) else ""


@register.filter
def dated(on: Any, today: Any) -> str:
    """ "Fri, Sep 18", with its year when that is not this one: {{ row.on|dated:today }}."""
    text = day(on)
    if isinstance(on, datetime):
        on = timezone.localtime(on).date() if timezone.is_aware(on) else on.date()
    return text if not text or on.year == today.year else _with_year(text, on)


@register.filter
def day_ahead(on: Any, today: Any) -> str:
    """A day to come: "Oct 4", "Feb 10, 2027"."""
    return spoken.day_ahead(on, today) if isinstance(on, date) else ""


@register.filter
def month_year(on: Any) -> str:
    """ "Sep 2026", "sep 2026": as the reader's language writes it."""
    return Month(on).text_in(reader_language()) if isinstance(on, date) else ""


@register.filter
def long_day(on: Any) -> str:
    """ "Friday, September 18, 2026", "viernes 18 de septiembre de 2026"."""
    return date_format(on, gettext("l, F j, Y")) if isinstance(on, date) else ""


def _with_year(text: str, on: date) -> str:
    return f"{text} {on.year}" if reader_language() == "es" else f"{text}, {on.year}"


@register.filter
def phone(number: Any) -> str:
    """A phone number as people write it: "+15415550142" -> "(541) 555-0142"."""
    return phone_words(str(number or ""))


@register.filter
def pct(share: Any, places: int = 0) -> str:
    """A percent that is already a percent: 17.9 -> "18%", in Spanish "18 %"."""
    return "" if share in (None, "") else gettext("{number}%").format(number=f"{float(share):.{places}f}")


@register.filter
def share_pct(share: Any) -> str:
    """A share as a percent: 0.944 -> "94%"."""
    return "" if share is None or share == "" else pct(float(share) * 100)


@register.filter
def thousands(count: Any) -> str:
    """A whole number as it is read: 20000 -> "20,000"."""
    return "" if count is None or count == "" else f"{int(count):,}"


@register.filter
def told(value: Any, name: str = "") -> str:
    """A value of the audit trail as it is read: "121/20" cords -> "6.05 cords", a day with its year."""
    text = ISO_DAY.sub(lambda found: spoken.full_date(date.fromisoformat(found[0])), str(value))
    try:
        if name in AUDIT_CORDS:
            return format_cords(Fraction(text))
        if name in AUDIT_DOLLARS:
            return dollars(text)
        return cents_dollars(text) if name in AUDIT_CENTS else text
    except (ValueError, ArithmeticError):
        return text


@register.filter
def get(mapping: Any, key: Any) -> Any:
    """mapping[key], for the rare table whose columns are data."""
    return mapping.get(key) if hasattr(mapping, "get") else None


@register.filter
def add_class(field: Any, name: str) -> Any:
    return field.as_widget(attrs={"class": name})


@register.simple_tag(takes_context=True)
def menu_link(context: Any, name: str, text: str, *also: str) -> str:
    """A link of the menu; marked as the current page on the page itself and on those named after it."""
    match = getattr(context.get("request"), "resolver_match", None)
    here = getattr(match, "url_name", None)
    try:
        path = reverse(name)
    except NoReverseMatch:  # tests/house/test_menu.py fails when a name of the menu is not there
        return ""
    mark = mark_safe(' aria-current="page"') if here in (name, *also) else ""
    return format_html('<a href="{}"{}>{}</a>', path, mark, text)


@register.simple_tag(takes_context=True)
def page_link(context: Any, name: str, text: str) -> str:
    """A link amid a sentence; only its words for a helper who may not open the page."""
    helping = context.get("helping")
    if helping and helping() and not may("GET", name):
        return text
    return format_html('<a href="{}">{}</a>', reverse(name), text)


@register.simple_tag
def opened(form: Any, *names: str) -> str:
    """ " open" for a fold-out that hides a field with something to put right."""
    return " open" if any(name in form.errors for name in names) else ""


@register.inclusion_tag("parts/field.html")
def field(bound: Any, help_text: str = "") -> dict[str, Any]:
    """One form field: label, input, help and error, tied together for screen readers."""
    described = []
    if help_text or bound.help_text:
        described.append(f"{bound.auto_id}-help")
    if bound.errors:
        described.append(f"{bound.auto_id}-error")
    attrs: dict[str, Any] = {}
    if described:
        attrs["aria-describedby"] = " ".join(described)
    if bound.errors:
        attrs["aria-invalid"] = "true"
        if next(name for name in bound.form.fields if name in bound.form.errors) == bound.name:
            attrs["autofocus"] = True  # what has to be put right first is in sight when the page opens
    return {"bound": bound, "help": help_text or bound.help_text, "widget": bound.as_widget(attrs=attrs)}


@register.filter
def more_or_less(percent: int) -> str:
    """A difference in time: "12% longer", "8% shorter", "as planned"."""
    if not percent:
        return gettext("as planned")
    text = gettext("{percent}% longer") if percent > 0 else gettext("{percent}% shorter")
    return text.format(percent=abs(percent))


@register.simple_block_tag
def stacked(content: str, label: str, lead: int = 2) -> str:
    """A table in its frame, in small cards on a phone: {% stacked "Who owes" lead=5 %}...{% endstacked %}.

    `lead`: the column that stands beside the row's name there, best its dollars.
    """
    table = mark_safe(stacked_table(content, lead=lead))  # a template's own rows, escaped where they stand
    return format_html(
        '<div class="table-wrap money stacks" tabindex="0" role="region" aria-label="{}">{}</div>',
        label,
        table,
    )
