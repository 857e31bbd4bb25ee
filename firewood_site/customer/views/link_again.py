"""Send me my link again: goes only to the address the order holds, and says the same whoever asks."""

import uuid
from contextlib import suppress
from typing import Any

from django import forms
from django.db import transaction
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from firewood_site.clock import now
from firewood_site.customer.views.stamped import answered
from firewood_site.languages import in_their_language
from firewood_site.letters import tell
from orders.selectors.customers import orders_reached_by
from orders.services.customers import BadPhone, read_phone


class LinkForm(forms.Form):
    contact = forms.CharField(
        label=_("Your phone or e-mail, as you gave it with the order"),
        max_length=120,
        error_messages={"required": _("Write the phone or the e-mail you ordered with.")},
    )
    key = forms.UUIDField(widget=forms.HiddenInput)


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def link_again(request: HttpRequest) -> HttpResponse:
    """Ask for the link of one's orders."""
    form = LinkForm(request.POST or None, initial={"key": uuid.uuid4()})
    return answered(request, form, "customer/link_again.html", what="link-again", act=_send)


@transaction.atomic
def _send(cleaned: dict[str, Any]) -> None:
    """A letter for each order that this contact reaches; never to what was typed, only to what is kept."""
    typed = cleaned["contact"].strip()
    if "@" in typed:
        numbers = orders_reached_by(email=typed)
    else:
        with suppress(BadPhone):  # what nobody can have given reaches nobody, and says no more than that
            typed = read_phone(typed).kept
        numbers = orders_reached_by(phone=typed)
    for number in numbers:
        tell(number, "link_again", at=now())
