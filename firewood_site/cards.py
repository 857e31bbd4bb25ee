"""A card provider behind one small door; there is none until CARD_PROVIDER names one.

Stripe's Checkout is the one spoken here (https://docs.stripe.com/api/checkout/sessions and
https://docs.stripe.com/webhooks; its description is public, https://github.com/stripe/openapi). The customer
pays on the provider's own page: no card number ever passes through here. What counts is the signed event the
provider sends, never the customer's way back.
"""

import hmac
import json
import logging
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from hashlib import sha256
from typing import Any, Protocol
from urllib.error import HTTPError, URLError
from urllib.parse import urlencode
from urllib.request import Request, urlopen
from uuid import NAMESPACE_URL, UUID, uuid5

from django.conf import settings
from django.utils.translation import gettext as _

from firewood_site.refusals import PageRefusal

CENTS = 100
WAIT_SECONDS = 15
OLDEST_SECONDS = 300  # what Stripe's own libraries allow between an event's signing and its reading
PAID_EVENTS = ("checkout.session.completed", "checkout.session.async_payment_succeeded")

logger = logging.getLogger(__name__)


class CardsRest(PageRefusal):
    """The provider did not answer, or not as it should."""

    def __init__(self) -> None:
        super().__init__(_("Paying by card does not work just now. Pay another way, or try again later."))


class NotTheirs(Exception):
    """A message that the provider did not sign, or that is too old."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Paid:
    """Money that has come in, for which order; the key is the same however often it is told."""

    number: int
    dollars: Decimal
    key: UUID


class CardProvider(Protocol):
    def pay_page(self, *, number: int, dollars: Decimal, what: str, back: str, key: str) -> str: ...

    def read_event(self, body: bytes, headers: Mapping[str, str], *, now: float) -> Paid | None: ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Stripe:
    """Checkout sessions: one amount, one order, a page of Stripe's own."""

    api: str
    secret_key: str
    webhook_secret: str
    currency: str

    def pay_page(self, *, number: int, dollars: Decimal, what: str, back: str, key: str) -> str:
        """The address of the page to pay on; the same key within a day gives the same page.

        Errors
            CardsRest
        """
        form = {
            "mode": "payment",
            "client_reference_id": str(number),
            "success_url": back,
            "cancel_url": back,
            "line_items[0][quantity]": "1",
            "line_items[0][price_data][currency]": self.currency,
            "line_items[0][price_data][unit_amount]": str(int(dollars * CENTS)),
            "line_items[0][price_data][product_data][name]": what,
        }
        asked = Request(
            f"{self.api}/v1/checkout/sessions",
            data=urlencode(form).encode(),
            headers={"Authorization": f"Bearer {self.secret_key}", "Idempotency-Key": key},
        )
        try:
            with urlopen(asked, timeout=WAIT_SECONDS) as answer:
                return str(json.load(answer)["url"])
        except (URLError, OSError, ValueError, KeyError, TypeError) as error:
            if isinstance(error, HTTPError):
                error.close()
            logger.warning("The card provider gave no page for order %s: %s", number, error)
            raise CardsRest from error

    def read_event(self, body: bytes, headers: Mapping[str, str], *, now: float) -> Paid | None:
        """What a signed event says has been paid; None for events of other kinds.

        Errors
            NotTheirs
        """
        self._check(body, headers.get("Stripe-Signature", ""), now=now)
        try:
            event = json.loads(body)
            session = event["data"]["object"]
            if event["type"] not in PAID_EVENTS or session["payment_status"] != "paid":
                return None
            return self._paid(session)
        except (ValueError, KeyError, TypeError) as error:
            raise NotTheirs from error

    def _paid(self, session: Mapping[str, Any]) -> Paid | None:
        if session["currency"] != self.currency:
            return None
        return Paid(
            number=int(session["client_reference_id"]),
            dollars=Decimal(int(session["amount_total"])) / CENTS,
            key=uuid5(NAMESPACE_URL, f"stripe:{session['id']}"),
        )

    def _check(self, body: bytes, header: str, *, now: float) -> None:
        parts = [part.partition("=") for part in header.split(",")]
        at = next((value for name, _sign, value in parts if name == "t"), "")
        signed = hmac.new(self.webhook_secret.encode(), at.encode() + b"." + body, sha256).hexdigest()
        is_theirs = any(
            name == "v1" and hmac.compare_digest(value.encode(), signed.encode())
            for name, _sign, value in parts
        )
        if not is_theirs or not at.isdigit() or abs(now - int(at)) > OLDEST_SECONDS:
            raise NotTheirs


def card_provider() -> CardProvider | None:
    """The provider that is switched on, if any."""
    if settings.CARD_PROVIDER != "stripe":
        return None
    return Stripe(
        api=settings.STRIPE_API,
        secret_key=settings.STRIPE_SECRET_KEY,
        webhook_secret=settings.STRIPE_WEBHOOK_SECRET,
        currency=settings.CARD_CURRENCY,
    )
