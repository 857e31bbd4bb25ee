"""Forms of the delivery days, rigs and closures."""

from collections.abc import Iterable, Sequence
from datetime import timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.seller.forms.fields import (
    TIME,
    DayField,
    dollars_field,
    number_field,
    road_field,
    wood_field,
)

MOST_DAYS = 10
MOST_LB = 99_999
MOST_FEET = 99
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")


class PlanForm(forms.Form):
    """Which orders, which rigs, which hours."""

    orders = forms.MultipleChoiceField(required=False, label=_("Orders"))
    rigs = forms.MultipleChoiceField(
        label=_("Rigs"), error_messages={"required": _("Choose a rig: somebody has to drive.")}
    )
    starts_at = forms.TimeField(label=_("Leave no earlier than"), widget=TIME, initial="07:00")
    ends_at = forms.TimeField(label=_("Home by"), widget=TIME, initial="18:00")
    seconds = forms.IntegerField(
        label=_("Search time (seconds)"), min_value=1, max_value=120, initial=5, required=False
    )

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
        choices=[(str(number), name) for number, name in enumerate(WEEKDAYS)],
        error_messages={"required": _("Tick a weekday: somebody has to drive.")},
    )
    seconds = forms.IntegerField(label=_("Search time (seconds)"), min_value=1, max_value=120, initial=20)

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


class HoursForm(forms.Form):
    starts_at = forms.TimeField(label=_("Leave no earlier than"), widget=TIME)
    ends_at = forms.TimeField(label=_("Home by"), widget=TIME)
    driver_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label=_("Driver"))
    helper_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label=_("Helper"))

    def __init__(self, *args: Any, people: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        _offer_people(self, people)


def _offer_people(form: forms.Form, people: Iterable[tuple[int, str]]) -> None:
    for name in ("driver_id", "helper_id"):
        form.fields[name].choices = [("", _("nobody named")), *people]  # type: ignore[attr-defined]


class DriverForm(forms.Form):
    """Somebody who drives or helps: wage, hours, break, and what they can handle in a day."""

    name = forms.CharField(max_length=80, label="Name")
    wage_hour = dollars_field(
        "Wage an hour ($)", high=999, required=False,
        help_text="Empty: what the rig's page says for the driver's hour.",
    )  # fmt: skip
    starts_at = forms.TimeField(label="Starts no earlier than", widget=TIME, initial="07:00")
    ends_at = forms.TimeField(label="Home by", widget=TIME, initial="18:00")
    longest_hours = number_field("Longest day, paid hours", low=1, high=24, initial=10)
    break_minutes = forms.IntegerField(
        min_value=0, max_value=240, label="Break, minutes, unpaid", initial=0,
        help_text="0: no break is planned.",
    )  # fmt: skip
    break_from = forms.TimeField(label="Break begins between", widget=TIME, initial="11:30")
    break_to = forms.TimeField(label="and", widget=TIME, initial="13:30")
    most_cords = wood_field(
        "Most cords a day", low=Decimal("0.1"), high=99, required=False,
        help_text="What they can load and unload in a day. Empty: no limit.",
    )  # fmt: skip
    works = forms.BooleanField(required=False, initial=True, label="Works now")
    signs_in_as = forms.ChoiceField(
        required=False, label="Signs in as", help_text="By this name they see their own run first.",
    )  # fmt: skip

    def __init__(self, *args: Any, names: Sequence[str] = (), **kwargs: Any) -> None:
        """names: those who can sign in."""
        super().__init__(*args, **kwargs)
        self.fields["signs_in_as"].choices = [("", "nobody"), *((name, name) for name in names)]  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("starts_at") and cleaned.get("ends_at") and cleaned["ends_at"] <= cleaned["starts_at"]:
            self.add_error("ends_at", "Home by must be later than the start.")
        if (
            cleaned.get("break_from")
            and cleaned.get("break_to")
            and cleaned["break_to"] < cleaned["break_from"]
        ):
            self.add_error("break_to", "The break's latest start must not be before its earliest.")
        return cleaned


class RatingField(forms.IntegerField):
    """A rating in pounds that may be unknown: empty is 0."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=0, max_value=MOST_LB, required=False, **kwargs)

    def clean(self, value: Any) -> int:
        return super().clean(value) or 0


class MeasureField(forms.DecimalField):
    """A distance in feet that may be unknown: empty is 0."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=0, max_value=60, decimal_places=1, required=False, **kwargs)

    def clean(self, value: Any) -> Any:
        return super().clean(value) or Decimal(0)


class RigForm(forms.Form):
    """A rig's box and weights; payload and room are worked out."""

    GROUPS_BEGIN = ("truck_lb", "hitch_to_axle_ft", "box_length_ft", "heap_number")

    name = forms.CharField(max_length=60, label="Name")
    home_yard_id = forms.TypedChoiceField(coerce=int, label="Kept at")
    driver_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Usual driver")
    helper_id = forms.TypedChoiceField(coerce=int, required=False, empty_value=None, label="Usual helper")
    truck = forms.CharField(
        max_length=60, required=False, label="Which pickup",
        help_text="Give trailers behind one pickup the same name: plans then never send both at once.",
    )  # fmt: skip
    hitch_minutes = forms.IntegerField(
        min_value=0, max_value=240, label="Minutes to change trailers", initial=15
    )
    has_trailer = forms.BooleanField(required=False, label="Pulls a trailer", initial=True)
    is_small = forms.BooleanField(required=False, label="Small enough for tight places")
    truck_lb = forms.IntegerField(min_value=1, max_value=MOST_LB, label="Pickup with driver and tools (lb)")
    truck_gross_lb = forms.IntegerField(min_value=1, max_value=MOST_LB, label="Pickup's gross rating (lb)")
    bed_payload_lb = forms.IntegerField(min_value=0, max_value=MOST_LB, label="Pickup's bed may carry (lb)")
    bed_ft3 = forms.IntegerField(
        min_value=0, max_value=400, label="Room in the bed for bundles beside the trailer (ft3)", initial=0,
        help_text="0: nothing rides in the bed.",
    )  # fmt: skip
    trailer_empty_lb = forms.IntegerField(
        min_value=0, max_value=MOST_LB, label="Trailer empty (lb)", initial=0
    )
    trailer_gross_lb = forms.IntegerField(
        min_value=0, max_value=MOST_LB, label="Trailer's gross rating (lb)", initial=0
    )
    hitch_tongue_lb = RatingField(
        label="Hitch: tongue rating (lb)",
        help_text="Stamped on hitch and ball. Empty if you don't know: then nothing checks it.",
    )  # fmt: skip
    hitch_tow_lb = RatingField(label="Hitch: towing rating (lb)")
    combined_rating_lb = RatingField(
        label="Pickup and trailer together, rated (lb)",
        help_text="GCWR in the owner's manual: gross combined weight rating.",
    )  # fmt: skip
    trailer_axle_lb = RatingField(
        label="Trailer's axles, rated together (lb)", help_text="GAWR on its plate."
    )
    trailer_tires_lb = RatingField(
        label="Trailer's tires, rated together (lb)", help_text="The load on each sidewall, times the tires."
    )
    hitch_to_axle_ft = MeasureField(
        label="Ball to the middle of the axles (ft)",
        help_text="Says how a load lies on the hitch. Empty if not measured.",
    )
    hitch_to_box_ft = MeasureField(label="Ball to the box's front wall (ft)")
    straps = RatingField(label="Straps that ride along", help_text="Loads say how many they want.")
    strap_lb = RatingField(label="Each strap holds (lb)", help_text="Working load limit, on its tag.")
    box_length_ft = number_field("Box length (ft)", low=Decimal("0.1"), high=MOST_FEET)
    box_width_ft = number_field("Box width (ft)", low=Decimal("0.1"), high=MOST_FEET)
    box_side_ft = number_field("Sides (ft)", low=Decimal("0.1"), high=MOST_FEET)
    box_heap_ft = number_field("Heap above the sides (ft)", high=MOST_FEET, initial=0)
    heap_number = number_field(
        "Heap number", low=100, high=300, places=1, initial=190,
        help_text="Loose cubic feet that stack to one cord. About 190 until a stack says better.",
    )  # fmt: skip
    length_ft = number_field("Whole length (ft)", low=1, high=MOST_FEET, places=1, initial=38)
    height_ft = number_field("Height (ft)", low=1, high=MOST_FEET, places=1, initial=Decimal("7.5"))
    top_speed_mph = forms.IntegerField(min_value=10, max_value=85, label="Top speed (mph)", initial=55)

    def __init__(
        self, *args: Any, yards: Iterable[tuple[int, str]], people: Iterable[tuple[int, str]], **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.fields["home_yard_id"].choices = list(yards)  # type: ignore[attr-defined]
        _offer_people(self, people)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if cleaned.get("driver_id") and cleaned.get("driver_id") == cleaned.get("helper_id"):
            self.add_error("helper_id", "Driver and helper are two people: choose another, or nobody.")
        return cleaned

    def ticks(self) -> list[forms.BoundField]:
        return [self[name] for name, field in self.fields.items() if isinstance(field, forms.BooleanField)]

    def groups(self) -> list[list[forms.BoundField]]:
        """The numbers as the page lays them out: weights, hitch and straps, box, the rest."""
        found: list[list[forms.BoundField]] = []
        for name, field in self.fields.items():
            if name in self.GROUPS_BEGIN:
                found.append([])
            if found and isinstance(field, forms.IntegerField):
                found[-1].append(self[name])
        return found


class CostForm(forms.Form):
    """What a mile and an hour cost from a day on."""

    from_on = DayField(label="From")
    loaded_mile = road_field("Loaded mile ($)", each=True, high=99, places=3)
    empty_mile = road_field("Empty mile ($)", each=True, high=99, places=3)
    fixed_run = dollars_field("Each day out ($)", high=9_999, initial=0)
    wage_hour = dollars_field("Driver's hour ($)", high=9_999)


class ShutForm(forms.Form):
    """What is closed, from when to when, and why."""

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


class RoadMarkForm(forms.Form):
    """A road the seller takes, or avoids."""

    road = forms.CharField(max_length=120, label="Road", help_text="As the map calls it, with its town.")
    kind = forms.ChoiceField(label="We", choices=[("take", "take it"), ("avoid", "avoid it")])
