"""Forms of the delivery days, rigs and closures."""

from collections.abc import Iterable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django import forms

TIME = forms.TimeInput(attrs={"type": "time"}, format="%H:%M")
MOST_DAYS = 10
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
DATE = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class PlanForm(forms.Form):
    """Which orders, which rigs, which hours."""

    orders = forms.MultipleChoiceField(required=False, label="Orders")
    rigs = forms.MultipleChoiceField(
        label="Rigs", error_messages={"required": "Choose a rig: somebody has to drive."}
    )
    starts_at = forms.TimeField(label="Not out before", widget=TIME, initial="07:00")
    ends_at = forms.TimeField(label="Home by", widget=TIME, initial="18:00")
    seconds = forms.IntegerField(
        label="Look for so many seconds", min_value=1, max_value=120, initial=5, required=False
    )

    def __init__(
        self, *args: Any, orders: Iterable[int], rigs: Iterable[tuple[int, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["orders"].choices = [(str(number), str(number)) for number in orders]  # type: ignore[attr-defined]
        self.fields["rigs"].choices = [(str(key), name) for key, name in rigs]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("starts_at") and said.get("ends_at") and said["ends_at"] <= said["starts_at"]:
            self.add_error("ends_at", "Home by must be later than out.")
        if not said.get("orders"):
            self.add_error("orders", "Choose at least one order.")
        return said


class WeekForm(PlanForm):
    """Several days at once; each order keeps to its own dates."""

    first_on = forms.DateField(label="From", widget=DATE)
    last_on = forms.DateField(label="Through", widget=DATE)
    weekdays = forms.MultipleChoiceField(
        label="Drive on",
        choices=[(str(number), name) for number, name in enumerate(WEEKDAYS)],
        error_messages={"required": "Tick a weekday: somebody has to drive."},
    )
    seconds = forms.IntegerField(label="Look for so many seconds", min_value=1, max_value=120, initial=20)

    def clean(self) -> dict[str, Any]:
        said = super().clean()
        first, last = said.get("first_on"), said.get("last_on")
        if not first or not last:
            return said
        if last < first:
            self.add_error("last_on", "The last day must not be before the first.")
        elif (last - first).days >= MOST_DAYS:
            self.add_error("last_on", f"At most {MOST_DAYS} days are planned at once.")
        elif said.get("weekdays") and not any(
            str((first + timedelta(days=number)).weekday()) in said["weekdays"]
            for number in range((last - first).days + 1)
        ):
            self.add_error("weekdays", "None of these weekdays lies between the two days.")
        return said


class HoursForm(forms.Form):
    starts_at = forms.TimeField(label="Not out before", widget=TIME)
    ends_at = forms.TimeField(label="Home by", widget=TIME)
    driver_name = forms.CharField(label="Driver", required=False, max_length=80)


class RigForm(forms.Form):
    """A rig's box and weights; payload and room are worked out."""

    name = forms.CharField(max_length=60, label="Name")
    home_yard_id = forms.TypedChoiceField(coerce=int, label="Kept at")
    truck = forms.CharField(
        max_length=60, required=False, label="Which pickup",
        help_text="Give trailers behind one pickup the same name: plans then never send both at once.",
    )  # fmt: skip
    has_trailer = forms.BooleanField(required=False, label="Pulls a trailer", initial=True)
    is_small = forms.BooleanField(required=False, label="Small enough for tight places")
    truck_lb = forms.IntegerField(min_value=1, label="Pickup with driver and tools (lb)")
    truck_gross_lb = forms.IntegerField(min_value=1, label="Pickup's gross rating (lb)")
    bed_payload_lb = forms.IntegerField(min_value=0, label="Pickup's bed may carry (lb)")
    trailer_empty_lb = forms.IntegerField(min_value=0, label="Trailer empty (lb)", initial=0)
    trailer_gross_lb = forms.IntegerField(min_value=0, label="Trailer's gross rating (lb)", initial=0)
    box_length_ft = forms.DecimalField(min_value=Decimal("0.1"), label="Box length (ft)")
    box_width_ft = forms.DecimalField(min_value=Decimal("0.1"), label="Box width (ft)")
    box_side_ft = forms.DecimalField(min_value=Decimal("0.1"), label="Sides (ft)")
    box_heap_ft = forms.DecimalField(min_value=Decimal(0), label="Heap above the sides (ft)", initial=0)
    heap_number = forms.DecimalField(
        min_value=Decimal(100), max_value=Decimal(300), label="Heap number", initial=180,
        help_text="Loose cubic feet that stack to one cord. 180 is usual.",
    )  # fmt: skip
    length_ft = forms.DecimalField(min_value=Decimal(1), label="Whole length (ft)", initial=38)
    height_ft = forms.DecimalField(min_value=Decimal(1), label="Height (ft)", initial=Decimal("7.5"))
    top_speed_mph = forms.IntegerField(min_value=10, max_value=85, label="Top speed (mph)", initial=55)

    def __init__(self, *args: Any, yards: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["home_yard_id"].choices = list(yards)  # type: ignore[attr-defined]


class CostForm(forms.Form):
    """What a mile and an hour cost from a day on."""

    from_on = forms.DateField(label="From", widget=DATE)
    loaded_mile = forms.DecimalField(min_value=Decimal(0), max_digits=6, label="Loaded mile ($)")
    empty_mile = forms.DecimalField(min_value=Decimal(0), max_digits=6, label="Empty mile ($)")
    fixed_run = forms.DecimalField(min_value=Decimal(0), max_digits=7, label="Each day out ($)", initial=0)
    wage_hour = forms.DecimalField(min_value=Decimal(0), max_digits=7, label="Driver's hour ($)")


class ShutForm(forms.Form):
    """What is closed, from when to when, and why."""

    kind = forms.ChoiceField(
        label="What",
        choices=[("yard", "A yard"), ("road", "A road"), ("saw", "Saw hours"), ("burn", "Burning")],
    )
    yard_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Which yard")
    town_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Road to which town")
    what = forms.CharField(required=False, max_length=120, label="More exactly")
    from_on = forms.DateField(label="From", widget=DATE)
    to_on = forms.DateField(label="Through", widget=DATE)
    from_time = forms.TimeField(required=False, label="From hour", widget=TIME, help_text="Empty is all day.")
    to_time = forms.TimeField(required=False, label="To hour", widget=TIME)
    reason = forms.CharField(max_length=200, label="Why")

    def __init__(
        self,
        *args: Any,
        yards: Iterable[tuple[int, str]],
        towns: Iterable[tuple[int, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["yard_id"].choices = [("", "none"), *yards]  # type: ignore[attr-defined]
        self.fields["town_id"].choices = [("", "none"), *towns]  # type: ignore[attr-defined]
