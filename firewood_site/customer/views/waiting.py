"""Tell me when it is dry: a name and a phone on the seller's waiting list, for one message."""

import uuid
from fractions import Fraction
from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_http_methods

from firewood_site import throttle
from firewood_site.clock import now, today
from firewood_site.customer.next_dry import NextDry, next_dry
from firewood_site.customer.views.stamped import answered
from firewood_site.languages import in_their_language
from firewood_site.wood_words import wood_title
from inventory.selectors.spoken import reader_language
from orders.selectors.prices import sheet_in_force
from orders.selectors.quotes import QuoteView
from orders.selectors.waiting import woods_to_wait_for
from orders.services.waiting import wait_for_wood

ANY_DRY = ":seasoned"


class TellMeForm(forms.Form):
    key = forms.UUIDField(widget=forms.HiddenInput)
    cords = forms.CharField(required=False, max_length=12, widget=forms.HiddenInput)  # wanted at least
    choice = forms.ChoiceField(label=_("Wood"), widget=forms.RadioSelect)
    name = forms.CharField(
        label=_("Your name"),
        max_length=120,
        widget=forms.TextInput(attrs={"autocomplete": "name"}),
        error_messages={"required": _("Write your name.")},
    )
    phone = forms.CharField(
        label=_("Phone"),
        max_length=40,
        widget=forms.TextInput(attrs={"type": "tel", "autocomplete": "tel"}),
        error_messages={"required": _("Write a phone number: we call or text before we come.")},
    )
    email = forms.EmailField(
        label=_("E-mail"),
        max_length=120,
        required=False,
        widget=forms.EmailInput(attrs={"autocomplete": "email"}),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        woods = woods_to_wait_for(today())
        self.fields["choice"].choices = [  # type: ignore[attr-defined]
            (f"{wood}:{dryness}", wood_title(wood, dryness)) for wood, dryness in woods
        ]

    def dry_next(self) -> tuple[NextDry, ...]:
        """When the next wood of each kind is dry, to be read before one puts oneself on the list."""
        in_force = sheet_in_force(today())
        return next_dry(today(), sheet=in_force.sheet if in_force else None)

    def clean_cords(self) -> Fraction:
        """The least that is of use to them; 0, any amount, where the page they came from did not say."""
        try:
            return max(Fraction(self.cleaned_data["cords"] or 0), Fraction(0))
        except (ValueError, ZeroDivisionError):
            return Fraction(0)


def waiting_offer(view: QuoteView, form: forms.Form) -> dict[str, str]:
    """What a form says for somebody whose wood is spoken for, filled from the order they wanted to place."""
    key = str(uuid.uuid4())
    typed = {name: str(form[name].value() or "") for name in ("name", "phone", "email")}
    wanted = {"choice": f"{view.wood}:{view.dryness}", "cords": str(view.cords)}
    return {"key": key, "stamp": throttle.stamp(key), **wanted, **typed}


@in_their_language
@require_http_methods(["GET", "HEAD", "POST"])
def tell_me(request: HttpRequest) -> HttpResponse:
    """Ask to be told when a wood can be had."""
    initial = {"key": uuid.uuid4(), "choice": _asked_for(request)}
    form = TellMeForm(request.POST or None, initial=initial)
    return answered(request, form, "customer/tell_me.html", what="tell-me", act=_keep)


def _keep(cleaned: dict[str, Any]) -> None:
    wood, _sign, dryness = cleaned["choice"].partition(":")
    wait_for_wood(
        key=cleaned["key"],
        name=cleaned["name"],
        phone=cleaned["phone"],
        email=cleaned["email"],
        cords=cleaned["cords"],
        wood=wood,
        dryness=dryness,
        language=reader_language(),
        at=now(),
    )


def _asked_for(request: HttpRequest) -> str:
    """The wood a link names, if one may wait for it."""
    named = request.GET.get("choice", "")
    woods = {f"{wood}:{dryness}" for wood, dryness in woods_to_wait_for(today())}
    return named if named in woods else ANY_DRY
