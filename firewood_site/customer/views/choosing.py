"""Which wood for my stove, how much for my winter, how long it lasts: a range, and its source."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_safe

from firewood_site.clock import today
from firewood_site.languages import in_their_language
from firewood_site.wood_words import wood_word
from inventory.core.rows import from_row
from inventory.core.species import oven_dry_lb
from inventory.core.woods import SPLIT_WOODS, Wood
from inventory.selectors.sale import lots_for_sale
from inventory.selectors.stock import LotRow
from orders.core.burning import Lasting, lasting

STOVES = {"new": _("A newer stove"), "old": _("An older stove"), "fireplace": _("An open fireplace")}
USES = {
    "some": _("Some evenings"),
    "evenings": _("Every evening"),
    "heat": _("It heats the house"),
}
HOUSES = {
    "small": _("Small or well insulated"),
    "middling": _("In between"),
    "big": _("Big or drafty"),
}
WINTERS = {"short": _("About 3 months"), "usual": _("4 to 5 months"), "long": _("6 months or more")}
BEST = {"some": Wood.FIR, "evenings": Wood.MIXED, "heat": Wood.HARDWOOD}  # common practice


class ChoosingForm(forms.Form):
    stove = forms.ChoiceField(label=_("What you burn it in"), choices=list(STOVES.items()))
    use = forms.ChoiceField(label=_("How much you burn"), choices=list(USES.items()))
    house = forms.ChoiceField(label=_("Your house"), choices=list(HOUSES.items()))
    winter = forms.ChoiceField(label=_("Weeks with fires"), choices=list(WINTERS.items()))


@dataclass(frozen=True, slots=True, kw_only=True)
class WoodForWinter(Lasting):
    """One wood on the answer: a winter's amount and what a cord of it lasts."""

    wood: str
    name: str
    is_best: bool


@in_their_language
@require_safe
def choosing(request: HttpRequest) -> HttpResponse:
    """The answer to what was tapped, or the form with the usual house marked."""
    usual = {"stove": "new", "use": "evenings", "house": "middling", "winter": "usual"}
    form = ChoosingForm({**usual, **{name: request.GET[name] for name in usual if name in request.GET}})
    rows = _rows(form.cleaned_data, today()) if form.is_valid() else ()
    context = {
        "form": form,
        "fields": [form[name] for name in usual],
        "rows": rows,
        "best": next((row for row in rows if row.is_best), None),
    }
    return render(request, "customer/choosing.html", context)


def _rows(said: dict[str, str], on: date) -> tuple[WoodForWinter, ...]:
    """Every split wood with dry lots for sale, by what its own lots weigh dry."""
    found = []
    weights = _dry_lb(lots_for_sale(on))
    wished = BEST[said["use"]]
    best = wished if wished in weights else next(iter(weights), "")
    for wood, dry_lb in weights.items():
        answer = lasting(dry_lb_per_cord=dry_lb, **said)
        found.append(from_row(WoodForWinter, answer, wood=wood, name=wood_word(wood), is_best=wood == best))
    return tuple(found)


def _dry_lb(lots: Iterable[LotRow]) -> dict[str, float]:
    """Oven-dry pounds a cord, by wood: the mean of its lots by what is open of them."""
    total: dict[str, float] = defaultdict(float)
    cords: dict[str, float] = defaultdict(float)
    for lot in lots:
        if lot.wood in SPLIT_WOODS and lot.call == "seasoned" and lot.mix:
            total[lot.wood] += oven_dry_lb(lot.shares) * float(lot.open_cords)
            cords[lot.wood] += float(lot.open_cords)
    return {wood: total[wood] / cords[wood] for wood in SPLIT_WOODS if cords[wood]}
