"""Forms of the delivery days, rigs and closures."""

from collections.abc import Iterable
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django import forms

from firewood_site.seller.forms.fields import TIME, DayField, dollars_field, number_field

MOST_DAYS = 10
MOST_LB = 99_999
MOST_FEET = 99
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


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

    first_on = DayField(label="From")
    last_on = DayField(label="Through")
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
    truck_lb = forms.IntegerField(min_value=1, max_value=MOST_LB, label="Pickup with driver and tools (lb)")
    truck_gross_lb = forms.IntegerField(min_value=1, max_value=MOST_LB, label="Pickup's gross rating (lb)")
    bed_payload_lb = forms.IntegerField(min_value=0, max_value=MOST_LB, label="Pickup's bed may carry (lb)")
    trailer_empty_lb = forms.IntegerField(
        min_value=0, max_value=MOST_LB, label="Trailer empty (lb)", initial=0
    )
    trailer_gross_lb = forms.IntegerField(
        min_value=0, max_value=MOST_LB, label="Trailer's gross rating (lb)", initial=0
    )
    box_length_ft = number_field("Box length (ft)", low=Decimal("0.1"), high=MOST_FEET)
    box_width_ft = number_field("Box width (ft)", low=Decimal("0.1"), high=MOST_FEET)
    box_side_ft = number_field("Sides (ft)", low=Decimal("0.1"), high=MOST_FEET)
    box_heap_ft = number_field("Heap above the sides (ft)", high=MOST_FEET, initial=0)
    heap_number = number_field(
        "Heap number", low=100, high=300, places=1, initial=180,
        help_text="Loose cubic feet that stack to one cord. 180 is usual.",
    )  # fmt: skip
    length_ft = number_field("Whole length (ft)", low=1, high=MOST_FEET, places=1, initial=38)
    height_ft = number_field("Height (ft)", low=1, high=MOST_FEET, places=1, initial=Decimal("7.5"))
    top_speed_mph = forms.IntegerField(min_value=10, max_value=85, label="Top speed (mph)", initial=55)

    def __init__(self, *args: Any, yards: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["home_yard_id"].choices = list(yards)  # type: ignore[attr-defined]


class CostForm(forms.Form):
    """What a mile and an hour cost from a day on."""

    from_on = DayField(label="From")
    loaded_mile = number_field("Loaded mile ($)", high=99, places=3)
    empty_mile = number_field("Empty mile ($)", high=99, places=3)
    fixed_run = dollars_field("Each day out ($)", high=9_999, initial=0)
    wage_hour = dollars_field("Driver's hour ($)", high=9_999)


class ShutForm(forms.Form):
    """What is closed, from when to when, and why."""

    kind = forms.ChoiceField(
        label="What",
        choices=[("yard", "A yard"), ("road", "A road"), ("saw", "Saw hours"), ("burn", "Burning")],
    )
    yard_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Which yard")
    town_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Road to which town")
    what = forms.CharField(required=False, max_length=120, label="More exactly")
    from_on = DayField(label="From")
    to_on = DayField(label="Through")
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
