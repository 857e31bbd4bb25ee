"""Words for wood, days, hours and money in the languages we write: what quotes and letters share."""

from datetime import time
from decimal import Decimal
from fractions import Fraction

from inventory.core.money import round_to
from inventory.core.sentences import ENGLISH, Sentence, say
from inventory.core.units import convert
from inventory.core.woods import Wood, english_name
from orders.core.order_request import OrderRequest
from orders.core.places import PlaceRule, amount_words, place_rule

NOON = 12


def request_text(
    order_request: OrderRequest, *, rule: PlaceRule | None = None, language: str = ENGLISH
) -> str:
    """What was asked for in words: "1/2 cord seasoned fir and 5 bundles of kindling"."""
    parts = []
    if order_request.cords:
        parts.append(wood_words(order_request, rule=rule or place_rule(), language=language))
    if order_request.bundles:
        parts.append(bundle_words(order_request.bundles, language=language))
    if len(parts) == 1:
        return parts[0]
    return say("{first} and {second}", language=language, first=parts[0], second=parts[1])


def wood_words(order_request: OrderRequest, *, rule: PlaceRule, language: str = ENGLISH) -> str:
    """The cordwood of an order request in words: "1/2 cord seasoned fir"."""
    amount = amount_words(order_request.cords, rule=rule, language=language)
    if order_request.wood == Wood.LOGS:
        return say("{amount} log length", language=language, amount=amount)
    return say(
        "{amount} {dryness} {wood}",
        language=language,
        amount=amount,
        dryness=say(rule.dry_word(order_request.dryness), language=language),
        wood=wood_name(order_request.wood, language=language),
    )


def wood_name(wood: str, *, language: str = ENGLISH) -> str:
    """A wood by its name in the reader's language: "mixed wood"."""
    return wood_in_words(wood).text_in(language)


def wood_in_words(wood: str) -> Sentence:
    """The same, for a gap of a sentence."""
    return Sentence(english_name(wood))


def bundle_words(bundles: int, *, language: str = ENGLISH) -> str:
    """Kindling in words: "5 bundles of kindling"."""
    if bundles == 1:
        return say("1 bundle of kindling", language=language)
    return say("{count} bundles of kindling", language=language, count=bundles)


def clock_words(at: time, *, language: str = ENGLISH) -> str:
    """An hour as it is said: "8:30 am", or "16:05" in Spanish.

    >>> clock_words(time(13, 5)), clock_words(time(13, 5), language="es")
    ('1:05 pm', '13:05')
    """
    gaps = {"twelve": at.hour % NOON or NOON, "hour": at.hour, "minute": f"{at.minute:02d}"}
    if at.hour < NOON:
        return say("{twelve}:{minute} am", language=language, **gaps)
    return say("{twelve}:{minute} pm", language=language, **gaps)


def window_words(first: time, last: time, *, language: str = ENGLISH) -> str:
    """A delivery window as it is said: "8:30 am to 10:00 am"."""
    hours = {"first": clock_words(first, language=language), "last": clock_words(last, language=language)}
    return say("{first} to {last}", language=language, **hours)


def loose_words(ft3: Decimal, *, rule: PlaceRule, language: str = ENGLISH) -> str:
    """Loose wood in the units of the place: "15.0 loose cubic feet", "0.42 loose m³"."""
    if not rule.is_metric:
        return say("{volume} loose cubic feet", language=language, volume=f"{ft3:f}")
    exact = convert(Fraction(ft3), "foot ** 3", "meter ** 3")
    return say("{volume} loose m³", language=language, volume=round_to(exact, Decimal("0.01")))
