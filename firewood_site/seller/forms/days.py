"""Forms of the delivery days and closures."""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.seller.forms.fields import ClockField, DayField, hours_example
from firewood_site.seller.forms.lines import Line, LineForm
from firewood_site.seller.forms.rigs import CrewForm
from inventory.core.gaps import WEEKDAYS

MOST_DAYS = 10
LONGEST_WHAT, LONGEST_WHY = 120, 200  # letters of a closure's place and reason


OUT_AND_HOME = Line(
    label=_("Leave no earlier than, home by"),
    parts=("starts_at", "ends_at"),
    between=(" – ",),
    help_text=hours_example("{7} – {18}"),
)


class PlanForm(LineForm):
    """Which orders, which rigs, which hours."""

    lines = {"hours": OUT_AND_HOME}

    orders = forms.MultipleChoiceField(required=False, label=_("Orders"))
    rigs = forms.MultipleChoiceField(
        label=_("Rigs"), error_messages={"required": _("Choose a rig: somebody has to drive.")}
    )
    starts_at = ClockField(label=_("Leave no earlier than"), initial="07:00")
    ends_at = ClockField(label=_("Home by"), initial="18:00")
    seconds = forms.IntegerField(min_value=1, max_value=120, required=False)  # from a script; no page asks

    def __init__(
        self, *args: Any, orders: Iterable[int], rigs: Iterable[tuple[int, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["orders"].choices = [(str(number), str(number)) for number in orders]  # type: ignore[attr-defined]
        self.fields["rigs"].choices = [(str(key), name) for key, name in rigs]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("starts_at") and cleaned.get("ends_at") and cleaned["ends_at"] <= cleaned["starts_at"]:
            self.add_error("ends_at", _("Home by must be later than out."))
        if not cleaned.get("orders"):
            self.add_error("orders", _("Choose at least one order."))
        return cleaned


class WeekForm(PlanForm):
    """Several days at once; each order keeps to its own dates."""

    first_on = DayField(label=_("From"))
    last_on = DayField(label=_("Through"))
    weekdays = forms.MultipleChoiceField(
        label=_("Drive on"),
        choices=[(str(number), _(name)) for number, name in enumerate(WEEKDAYS)],
        error_messages={"required": _("Tick a weekday: somebody has to drive.")},
    )

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        first, last = cleaned.get("first_on"), cleaned.get("last_on")
        if not first or not last:
            return cleaned
        if last < first:
            self.add_error("last_on", _("The last day must not be before the first."))
        elif (last - first).days >= MOST_DAYS:
            self.add_error(
                "last_on", _("At most {most_days} days are planned at once.").format(most_days=MOST_DAYS)
            )
        elif cleaned.get("weekdays") and not any(
            str((first + timedelta(days=number)).weekday()) in cleaned["weekdays"]
            for number in range((last - first).days + 1)
        ):
            self.add_error("weekdays", _("None of these weekdays lies between the two days."))
        return cleaned


class HoursForm(CrewForm):
    lines = {"hours": OUT_AND_HOME}

    starts_at = ClockField(label=_("Leave no earlier than"))
    ends_at = ClockField(label=_("Home by"))


class ShutForm(LineForm):
    """What is closed, from when to when, and why."""

    lines = {
        "hours": Line(
            label="Only some hours of the day",
            parts=("from_time", "to_time"),
            between=(" to ",),
            help_text=hours_example("{13} to {20}. Leave empty for all day."),
        )
    }

    kind = forms.ChoiceField(
        label="What",
        choices=[
            ("yard", "A yard"),
            ("road", "A road"),
            ("chain", "Chains required on a road"),
            ("saw", "Saw hours"),
            ("burn", "Burning"),
            ("open", "Burning allowed (a window)"),
            ("off", "No work: holiday, day job"),
        ],
    )
    where = forms.ChoiceField(required=False, label="Which yard, or the road to which town")
    from_on = DayField(label="From")
    to_on = DayField(label="Through")
    from_time = ClockField(required=False, label="From hour")
    to_time = ClockField(required=False, label="To hour")
    reason = forms.CharField(
        max_length=LONGEST_WHAT + LONGEST_WHY,
        label="Why",
        help_text="To name what is closed, write it first with a colon: Camp 9 bridge: washed out.",
    )

    def __init__(
        self,
        *args: Any,
        yards: Iterable[tuple[int, str]],
        towns: Iterable[tuple[int, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["where"].choices = [  # type: ignore[attr-defined]
            ("", "nowhere in particular"),
            ("Yards", [(f"yard:{key}", name) for key, name in yards]),
            ("The road to", [(f"town:{key}", name) for key, name in towns]),
        ]

    def clean_reason(self) -> str:
        *what, why = self.cleaned_data["reason"].split(": ", 1)
        self.cleaned_data["what"] = "".join(what).strip()
        if len(self.cleaned_data["what"]) > LONGEST_WHAT or len(why) > LONGEST_WHY:
            raise forms.ValidationError("That is too long: write it shorter.")
        return why

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        kind, _colon, key = cleaned.pop("where", "").partition(":")
        return {**cleaned, **{f"{of}_id": int(key) if of == kind else None for of in ("yard", "town")}}


class RoadMarkForm(forms.Form):
    """A road the seller takes, or avoids."""

    name = forms.CharField(max_length=120, label="Road", help_text="As the map names it, with its town.")
    kind = forms.ChoiceField(label="We", choices=[("take", "take it"), ("avoid", "avoid it")])
