"""Stored lines of a price, days on offer and claims, as values for pages."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.translation import gettext

from inventory.core.rows import from_row
from inventory.core.sentences import ENGLISH, say
from orders.core.languages import bundle_words, wood_words
from orders.core.order_request import OrderRequest
from orders.core.places import PlaceRule
from orders.core.quotes import DayOffer
from orders.core.reasons import SAID_ALIKE, WITH_A_NEIGHBOR, Reason, ReasonKind
from orders.models import Claim, Quote

KEPT_BY_DAY = ("total", "saved", "drive", "tax", "deposit")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClaimBrief:
    id: int
    kind: str
    kind_words: str
    state: str
    state_words: str
    on: date
    length_ft: Decimal | None
    height_ft: Decimal | None
    depth_in: Decimal | None
    readings: tuple[str, ...]
    basis: str
    message: str
    result: dict[str, Any]
    answer: str


def reason_lines(rows: Iterable[dict[str, Any]]) -> tuple[Reason, ...]:
    """Stored lines of a price, as values."""
    return tuple(
        Reason(
            kind=row.get("kind", ""),
            label=row.get("label", ""),
            dollars=Decimal(str(row.get("dollars", "0"))),
            why=row.get("why", ""),
        )
        for row in rows
    )


def retold(
    lines: Iterable[Reason], order_request: OrderRequest, *, rule: PlaceRule, language: str
) -> tuple[Reason, ...]:
    """The lines as they are where they are kept in this language; else what each is for, without its why.

    The why holds miles, days and shares in the words of the language the price was asked in.
    """
    goods: dict[str, str] = {
        ReasonKind.BUNDLES: bundle_words(order_request.bundles, language=language),
        **dict.fromkeys(
            (ReasonKind.WOOD, ReasonKind.LOGS), wood_words(order_request, rule=rule, language=language)
        ),
    }
    kept, is_same = tuple(lines), True
    told = []
    for line in kept:
        is_neighbors = line.kind == ReasonKind.DRIVE and line.dollars < 0
        alike = WITH_A_NEIGHBOR if is_neighbors else SAID_ALIKE.get(line.kind)
        label = say(alike, language=language) if alike else goods.get(line.kind, line.label)
        is_said = bool(alike) or (language != ENGLISH and line.kind in goods)
        is_same = is_same and (not is_said or label == line.label)
        told.append(replace(line, label=label, why=""))
    return kept if is_same else tuple(told)


def days_on_offer(quote: Quote) -> tuple[DayOffer, ...]:
    """Stored days on offer, as values; the wood costs the same on each."""
    return tuple(
        DayOffer(
            on=date.fromisoformat(row["on"]),
            wood=quote.wood_dollars,
            why=row["why"],
            reasons=reason_lines(row["reasons"]),
            **{name: Decimal(row[name]) for name in KEPT_BY_DAY},
        )
        for row in quote.day_offers
    )


def claim_brief(claim: Claim) -> ClaimBrief:
    return from_row(
        ClaimBrief,
        claim,
        kind_words=gettext(claim.get_kind_display()),
        state_words=gettext(claim.get_state_display()),
        readings=tuple(str(reading) for reading in claim.readings),
        result=_made_good(claim.result),
    )


def _made_good(result: dict[str, Any]) -> dict[str, Any]:
    """What a short claim came to; rows from before the books say only the credit."""
    if not result:
        return {}
    return {"is_owed": Decimal(str(result.get("credit") or 0)) > 0, **result}
