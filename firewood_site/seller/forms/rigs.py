"""Forms of rigs and of who drives them."""

from collections.abc import Iterable, Sequence
from decimal import Decimal
from itertools import zip_longest
from typing import Any

from django import forms
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from firewood_site.measured import MeasuredField, in_place
from firewood_site.seller.forms.fields import (
    ClockField,
    DayField,
    dollars_field,
    hours_example,
    number_field,
    road_field,
    wood_field,
)
from firewood_site.seller.forms.lines import Line, LineForm, Ticks
from routing.core.rigs import HITCH_MINUTES
from routing.selectors.drivers import crew_key

WHO = ("driver", "helper")
MOST_LB = 99_999
MOST_FEET = 99
MOST_STRAPS = 99
PLATES = (
    "0 / 0: no trailer. Gross (GVWR) and axles' rating (GAWR) are on its plate, a tire's on its sidewall: "
    "times the tires. Leave out what you don't know: then nothing checks it."
)
TAGGED = "the working load limit is on the tag. Loads say how many they want."
STAMPED = (
    "The first two are stamped on hitch and ball; GCWR (gross combined weight rating) is in the owner's "
    "manual. Leave out what you don't know."
)
USUAL = Decimal(190)  # heap number until a stack says better


class CrewForm(LineForm):
    """Who takes a rig out: a driver, alone or with a helper, is one choice; kept as two."""

    crew = forms.ChoiceField(required=False, label=_("Who takes it out"))

    def __init__(self, *args: Any, people: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["crew"].choices = crews(people)  # type: ignore[attr-defined]
        self.initial.setdefault("crew", crew_key(*(self.initial.get(f"{who}_id") for who in WHO)))

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        chosen = str(cleaned.pop("crew", "")).split("+")
        return cleaned | {f"{who}_id": int(key) if key else None for who, key in zip_longest(WHO, chosen)}


def crews(people: Iterable[tuple[int, str]]) -> list[tuple[str, Any]]:
    """Each alone, and with each of the others to help."""
    known = list(people)
    return [("", _("nobody named"))] + [
        (crew_key(key, other), with_helper.format(driver=name, helper=helper) if other else name)
        for with_helper in [gettext("{driver}, with {helper}")]
        for key, name in known
        for other, helper in [(None, ""), *known]
        if key != other
    ]


class DriverForm(LineForm):
    """Somebody who drives or helps: wage, hours, break, and what they can handle in a day."""

    lines = {
        "hours": Line(
            label="Starts no earlier than, home by", parts=("starts_at", "ends_at"), between=(" to ",)
        ),
        "most": Line(
            label="Most in a day: paid hours / cords they can load and unload",
            parts=("longest_hours", "most_cords"),
            help_text="10 / 6. Just 10: no limit on cords.",
        ),
        "rest": Line(
            label="Break: unpaid minutes, and when it may begin",
            parts=("break_minutes", "break_from", "break_to"),
            between=(", ", " to "),
            help_text=hours_example("30, {11} to {13}. 0: no break is planned."),
        ),
    }

    name = forms.CharField(max_length=80, label="Name")
    wage_hour = dollars_field(
        "Wage an hour ($)", high=999, required=False,
        help_text="Leave empty to use the driver's hour from the rig's page.",
    )  # fmt: skip
    starts_at = ClockField(label="Starts no earlier than", initial="07:00")
    ends_at = ClockField(label="Home by", initial="18:00")
    longest_hours = number_field("Longest day, paid hours", low=1, high=24, initial=10)
    break_minutes = forms.IntegerField(min_value=0, max_value=240, label="Break, minutes, unpaid", initial=0)
    break_from = ClockField(label="Break begins between", initial="11:30")
    break_to = ClockField(label="and", initial="13:30")
    most_cords = wood_field("Most cords a day", low=Decimal("0.1"), high=99, required=False)
    works = forms.BooleanField(required=False, initial=True, label="Works now")
    signs_in_as = forms.ChoiceField(
        required=False, label="Signs in as", help_text="Signed in this way, they see their own run first.",
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


class CountField(forms.IntegerField):
    """A count that may be unknown: empty is 0."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(min_value=0, max_value=MOST_STRAPS, required=False, **kwargs)

    def clean(self, value: Any) -> int:
        return super().clean(value) or 0


def _rating(label: str, *, unknown: bool = True, low: int = 0, **more: Any) -> MeasuredField:
    """Pounds; where it may be unknown, empty is 0."""
    least = {"required": False, "unknown": 0} if unknown else {}
    return MeasuredField(kept="lb", label=label, low=low, high=MOST_LB, **least, **more)


def _distance(label: str, *, high: int = MOST_FEET, **more: Any) -> MeasuredField:
    return MeasuredField(kept="ft", label=label, high=high, places=2, **more)


class RigForm(CrewForm):
    """A rig's box and weights; payload and room are worked out."""

    GROUPS_BEGIN = ("pickup", "hitch", "box", "whole")
    lines = {
        "pickup": Line(
            label="Pickup: with driver and tools / gross / in the bed (lb) / room for bundles (ft³)",
            parts=("truck_lb", "truck_gross_lb", "bed_payload_lb", "bed_ft3"),
            help_text=in_place(
                "6600 / 8600 / 1650 / 0. 0: no bundles ride along. Off a plate: 2990 / 3900 / 750 kg.",
                "2990 / 3900 / 750 / 0. 0: no bundles ride along.",
            ),
        ),
        "trailer": Line(
            label="Trailer: empty / gross / axles' / tires' rating (lb)",
            parts=("trailer_empty_lb", "trailer_gross_lb", "trailer_axle_lb", "trailer_tires_lb"),
            help_text=in_place(
                "2200 / 9800 / 10400 / 12160. " + PLATES, "1000 / 4450 / 4700 / 5500. " + PLATES
            ),
        ),
        "hitch": Line(
            label="Towing: tongue / hitch / both together, rated (lb); minutes to change trailers",
            parts=("hitch_tongue_lb", "hitch_tow_lb", "combined_rating_lb", "hitch_minutes"),
            between=(" / ", " / ", "; "),
            help_text=in_place("1000 / 10000 / 15000; 15. " + STAMPED, "450 / 4500 / 6800; 15. " + STAMPED),
        ),
        "ball": Line(
            label="Ball to: middle of the axles / front wall of the box (ft)",
            parts=("hitch_to_axle_ft", "hitch_to_box_ft"),
            help_text="Says how a load lies on the hitch. Empty if not measured.",
        ),
        "strapped": Line(
            label="Straps that ride along x what each holds (lb)",
            parts=("straps", "strap_lb"),
            between=(" x ",),
            help_text=in_place("4 x 830: " + TAGGED, "4 x 375: " + TAGGED),
        ),
        "box": Line(
            label="Box: length x width x sides + heap above them (ft), heap number",
            parts=("box_length_ft", "box_width_ft", "box_side_ft", "box_heap_ft", "heap_number"),
            between=(" x ", " x ", " + ", ", "),
            help_text=in_place(
                "12 x 6 x 2 + 1, 190; or 3.7 x 1.8 x 0.6 + 0.3 m. 190 loose cubic feet stack to one cord, "
                "until a stack says better.",
                "3.7 x 1.8 x 0.6 + 0.3, 1.48. 1.48 loose m³ stack to one, until a stack says better.",
            ),
        ),
        "whole": Line(
            label="Whole rig: length x height (ft), top speed (mph)",
            parts=("length_ft", "height_ft", "top_speed_mph"),
            between=(" x ", ", "),
            help_text=in_place("38 x 7.5, 55", "11.6 x 2.3, 90"),
        ),
    }
    ticks = {"it": Ticks(label="It", parts=("has_trailer", "is_small"))}

    name = forms.CharField(max_length=60, label="Name")
    home_yard_id = forms.TypedChoiceField(coerce=int, label="Kept at")
    truck = forms.CharField(
        max_length=60, required=False, label="Which pickup",
        help_text="Give trailers behind one pickup the same name: then no plan sends both out at once.",
    )  # fmt: skip
    has_trailer = forms.BooleanField(required=False, label="Pulls a trailer", initial=True)
    is_small = forms.BooleanField(required=False, label="Small enough for tight places")
    truck_lb = _rating("Pickup with driver and tools (lb)", unknown=False, low=1)
    truck_gross_lb = _rating("Pickup's gross rating (lb)", unknown=False, low=1)
    bed_payload_lb = _rating("Pickup's bed may carry (lb)", unknown=False, low=0)
    bed_ft3 = MeasuredField(
        kept="ft3", high=400, label="Room in the bed for bundles beside the trailer (ft3)", initial=0
    )
    trailer_empty_lb = _rating("Trailer empty (lb)", unknown=False, low=0, initial=0)
    trailer_gross_lb = _rating("Trailer's gross rating (lb)", unknown=False, low=0, initial=0)
    hitch_tongue_lb = _rating("Hitch: tongue rating (lb)")
    hitch_tow_lb = _rating("Hitch: towing rating (lb)")
    combined_rating_lb = _rating("Pickup and trailer together, rated (lb)")
    hitch_minutes = forms.IntegerField(
        min_value=0, max_value=240, label="Minutes to change trailers", required=False
    )
    trailer_axle_lb = _rating("Trailer's axles, rated together (lb)")
    trailer_tires_lb = _rating("Trailer's tires, rated together (lb)")
    hitch_to_axle_ft = _distance(
        "Ball to the middle of the axles (ft)", high=60, required=False, unknown=Decimal(0)
    )
    hitch_to_box_ft = _distance(
        "Ball to the box's front wall (ft)", high=60, required=False, unknown=Decimal(0)
    )
    straps = CountField(label="Straps that ride along")
    strap_lb = _rating("Each strap holds (lb)")
    box_length_ft = _distance("Box length (ft)", low=Decimal("0.1"))
    box_width_ft = _distance("Box width (ft)", low=Decimal("0.1"))
    box_side_ft = _distance("Sides (ft)", low=Decimal("0.1"))
    box_heap_ft = _distance("Heap above the sides (ft)", initial=0)
    heap_number = MeasuredField(
        kept="heap", low=100, high=300, places=1, unknown=USUAL, required=False,
        label="Heap number",
    )  # fmt: skip
    length_ft = _distance("Whole length (ft)", low=1, initial=38)
    height_ft = _distance("Height (ft)", low=1, initial=Decimal("7.5"))
    top_speed_mph = MeasuredField(
        kept="mph", low=10, high=85, places=1, label="Top speed (mph)", initial=55
    )  # fmt: skip

    def __init__(self, *args: Any, yards: Iterable[tuple[int, str]], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["home_yard_id"].choices = list(yards)  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        minutes = cleaned.get("hitch_minutes")
        return {**cleaned, "hitch_minutes": HITCH_MINUTES if minutes is None else minutes}

    def groups(self) -> list[list[forms.BoundField]]:
        """The numbers as the page lays them out: weights, hitch and straps, box, the rest."""
        found: list[list[forms.BoundField]] = []
        for name, field in self.fields.items():
            if name in self.GROUPS_BEGIN:
                found.append([])
            if found and (isinstance(field, forms.IntegerField) or name in self.lines):
                found[-1].append(self[name])
        return found


class CostForm(LineForm):
    """What a mile and an hour cost from a day on."""

    lines = {
        "costs": Line(
            label="A mile: loaded / empty; an hour of the driver / each day out ($)",
            parts=("loaded_mile", "empty_mile", "wage_hour", "fixed_run"),
            between=(" / ", "; ", " / "),
            help_text="0.95 / 0.75; 22 / 5",
        )
    }

    from_on = DayField(label="From")
    loaded_mile = road_field("Loaded mile ($)", each=True, high=99, places=3)
    empty_mile = road_field("Empty mile ($)", each=True, high=99, places=3)
    fixed_run = dollars_field("Each day out ($)", high=9_999, initial=0)
    wage_hour = dollars_field("Driver's hour ($)", high=9_999)
