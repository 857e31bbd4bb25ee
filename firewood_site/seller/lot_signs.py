"""A lot's dryness without a meter, as its page asks for it and says what it comes to."""

from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.measured import MeasuredField, in_place
from firewood_site.seller.forms.fields import DayField
from firewood_site.seller.forms.lines import Line, LineForm
from inventory.drying.without_meter import ENDS, SOUND
from inventory.selectors.lot import LotPage
from inventory.selectors.spoken import in_language
from inventory.services.signs import Weighing, save_signs


def _weight(label: Any) -> MeasuredField:
    return MeasuredField(kept="piece_lb", label=label, low=0.1, high=500, places=2, required=False)


class SignForm(LineForm):
    """Ends, sound, and one marked piece on a scale: any of them."""

    lines = {
        "weighed": Line(
            label=_("The marked piece weighs: now / when it was marked (lb)"),
            parts=("now_lb", "then_lb"),
            help_text=in_place("7.5 / 10", "3.4 / 4.5"),
        )
    }
    ends = forms.ChoiceField(
        label=_("The cut ends show"),
        choices=[*((key, _(words)) for key, words in ENDS.items()), ("", _("not looked at"))],
        required=False,
        widget=forms.RadioSelect,
    )
    sound = forms.ChoiceField(
        label=_("Two pieces knocked together give"),
        choices=[*((key, _(words)) for key, words in SOUND.items()), ("", _("not tried"))],
        required=False,
        widget=forms.RadioSelect,
    )
    now_lb = _weight(_("The marked piece weighs now (lb)"))
    then_lb = _weight(_("It weighed when marked (lb)"))
    on = DayField(label=_("Marked on"), required=False)
    note = forms.CharField(label=_("Note"), max_length=300, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        names = ("now_lb", "then_lb", "on")
        missing = [name for name in names if not cleaned.get(name) and name not in self.errors]
        if len(missing) < len(names):
            for name in missing:
                self.add_error(name, _("A weighed piece needs both weights and the day it was marked."))
        return cleaned


def write_signs(page: LotPage, cleaned: dict[str, Any], *, on: date, **told: Any) -> str:
    """Keep them; what they come to, in a sentence."""
    weighing = (
        Weighing(now_lb=cleaned["now_lb"], then_lb=cleaned["then_lb"], then_on=cleaned["on"])
        if cleaned["now_lb"]
        else None
    )
    seen = tuple(cleaned[name] for name in ("ends", "sound") if cleaned[name])
    found = save_signs(
        code=page.row.code, seen_signs=seen, weighing=weighing, on=on, note=cleaned["note"], **told
    )
    said = _("Saved: {signs}. It may not be called dry by that.")
    return said.format(signs="; ".join(in_language(likely.words) for likely in found))
