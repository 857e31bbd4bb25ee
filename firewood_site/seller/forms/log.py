"""Log it: one sheet for a morning's work, mostly tapped."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction
from typing import Any
from uuid import uuid4

from django import forms
from django.utils.translation import gettext_lazy as _

from firewood_site.measured import in_place
from firewood_site.pictures import row_picture, trailer_picture
from firewood_site.refusals import refusal_words, refusals
from firewood_site.seller.forms.fields import CountOrNothing, DayField, cords_field
from firewood_site.seller.forms.measuring import SHAPES
from firewood_site.seller.forms.stock import EXPOSURES
from inventory.core.hours import Hours, NotHours, parse_hours
from inventory.core.local_measures import measure_words
from inventory.core.measure import measured, stack_ft3
from inventory.core.sizes import parse_sizes
from inventory.core.units import CORD_FT3
from inventory.selectors.lot_choices import LotChoice
from inventory.selectors.spoken import spoken_cords
from inventory.selectors.work import heap_number
from inventory.services.measures import Measured
from inventory.services.sheets import JOBS, Amount, NewHeap, Sheet
from routing.selectors.rigs import RigRow

NEW, NO_HOURS = "new", "none"
MOST_SIZES = 200  # letters of a list of logs
STEPS = [
    ("fell", _("Fell, buck")),
    ("haul", _("Haul")),
    ("split", _("Split")),
    ("stack", _("Stack")),
    ("cover", _("Cover")),
    ("measure", _("Measure")),
    ("slash", _("Slash")),
    ("move", _("Move to a yard")),
    ("deliver", _("Delivering")),
    ("paper", _("Paper, phone")),
    ("upkeep", _("Saws, splitter, truck")),
]
HOW_LONG = [
    ("an hour", _("an hour")),
    ("a couple of hours", _("a couple of hours")),
    ("a morning", _("a morning")),
    ("a day", _("all day")),
    (NO_HOURS, _("no hours")),
]
LIES = [
    ("", _("as the work or the lot says")),
    ("splits", _("splits")),
    ("rounds", _("rounds")),
    ("logs", _("log length")),
    ("kindling", _("kindling bundles")),
    ("splits_24", in_place(_("24-inch splits"), _("60 cm splits"))),
    ("stacked", _("splits stacked level in the trailer")),
]
AMOUNTS = [
    (Amount.WORKED, _("what we worked on: new if we felled it, else part of the lot")),
    (Amount.MORE, _("more wood: add it to the lot")),
    (Amount.ALL, _("all of it: replace the lot's count")),
]
FILLS = (
    ("half", _("half full"), 0.5, 0.0),
    ("rails", _("to the rails"), 1.0, 0.0),
    ("heaped", _("heaped up"), 1.0, 1.0),
)
ROWS_FT = (4, 8, 16, 24)  # lengths of a stacked row to tap
ROW_HIGH_FT, PIECE_IN = 4.0, 16.0
ROUNDS_FORMS = ("rounds", "logs")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fill:
    """A picture to tap: a rig's box filled so far, or a row of that length."""

    key: str
    label: Any  # worded when it is shown
    about: str
    picture: str
    shape: str
    sizes: dict[str, float]
    rig: str = ""


def fills_of(rigs: Iterable[RigRow]) -> tuple[Fill, ...]:
    """Every rig's box in three fills, then stacked rows."""
    boxes = [
        Fill(
            key=f"trailer:{rig.id}:{key}",
            label=label,
            about=rig.name,
            picture=trailer_picture(side, 0.45 * heap),
            shape="trailer",
            sizes={
                "length": float(rig.box_length_ft),
                "width": float(rig.box_width_ft),
                "side": float(rig.box_side_ft) * side,
                "heap": float(rig.box_heap_ft) * heap,
            },
            rig=rig.name,
        )
        for rig in rigs
        for key, label, side, heap in FILLS
    ]
    return (*boxes, *(_row(feet) for feet in ROWS_FT))


def _row(feet: int) -> Fill:
    sizes = {"length": float(feet), "height": ROW_HIGH_FT, "depth_in": PIECE_IN, "cribbed_ends": 0.0}
    cords = Fraction(stack_ft3(feet, ROW_HIGH_FT, PIECE_IN)).limit_denominator(12 * CORD_FT3) / CORD_FT3
    return Fill(
        key=f"row:{feet}",
        label=_("{long} row").format(long=measure_words(feet, "ft", places=1)),
        about=spoken_cords(cords),
        picture=row_picture(feet),
        shape="stack",
        sizes=sizes,
    )


class LogForm(forms.Form):
    """What was done, which wood, how long; all the rest is optional."""

    COMMON_STEPS, COMMON_LOTS = (
        7,
        4,
    )  # in sight on a phone, the lots by who was touched last; one tap shows the rest

    key = forms.UUIDField(widget=forms.HiddenInput)
    steps = forms.MultipleChoiceField(
        label=_("What was done"),
        choices=STEPS,
        widget=forms.CheckboxSelectMultiple,
        error_messages={"required": _("Tap what was done.")},
    )
    wood = forms.ChoiceField(label=_("Which wood"), required=False, widget=forms.RadioSelect)
    how_long = forms.ChoiceField(
        label=_("How long"), choices=HOW_LONG, required=False, widget=forms.RadioSelect
    )
    hours = forms.CharField(
        label=_("Or write it"), max_length=40, required=False, help_text=_("2 to 3 h, 1 h 30 min, 4 counted")
    )
    fill = forms.ChoiceField(label=_("Trailer or row"), required=False, widget=forms.RadioSelect)
    cords = cords_field(
        _("Or cords"), kind=CountOrNothing, required=False, help_text=in_place("1/3, 5/6, 1 1/2", "2, 3.5")
    )
    shape = forms.ChoiceField(
        label=_("Shape"), choices=[(shape.key, shape.label) for shape in SHAPES], required=False,
        widget=forms.RadioSelect,
    )  # fmt: skip
    size = forms.CharField(
        label=_("Its sizes"), max_length=MOST_SIZES, required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off", "placeholder": "42 x 12 x 5"}),
    )  # fmt: skip
    lies = forms.ChoiceField(label=_("What it is"), choices=LIES, required=False)
    amount = forms.ChoiceField(
        label=_("That amount is"), choices=AMOUNTS, initial=Amount.WORKED, widget=forms.RadioSelect
    )
    people = forms.MultipleChoiceField(label=_("Who"), required=False, widget=forms.CheckboxSelectMultiple)
    on = DayField(label=_("Another day"), required=False)
    species = forms.ChoiceField(label=_("Kind of tree"), required=False)
    exposure = forms.ChoiceField(
        label=_("How it lies"), choices=EXPOSURES, initial="low_heap", required=False
    )
    yard = forms.TypedChoiceField(label=_("Where it lies"), coerce=int, required=False, empty_value=None)
    unit = forms.TypedChoiceField(label=_("Cut on"), coerce=int, required=False, empty_value=None)
    to_yard = forms.TypedChoiceField(label=_("Taken to"), coerce=int, required=False, empty_value=None)
    note = forms.CharField(label=_("Note"), max_length=200, required=False)
    photo = forms.FileField(
        label=_("Photo"),
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )

    def __init__(
        self,
        *args: Any,
        lots: Sequence[LotChoice],
        fills: Sequence[Fill],
        people: Iterable[str],
        yards: Iterable[tuple[int, str]],
        units: Iterable[tuple[int, str]],
        woods: Iterable[tuple[str, str]],
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.lots, self.fills, yards, units = lots, fills, list(yards), list(units)
        choices: dict[str, list[tuple[Any, Any]]] = {
            "wood": [*((lot.code, f"{lot.code} {lot.name}") for lot in lots), (NEW, _("a new heap"))],
            "fill": [("", _("none")), *((fill.key, fill.label) for fill in fills)],
            "people": [(name, name) for name in people],
            "species": [("", _("choose")), *woods],
            "yard": [("", _("choose")), *yards],
            "unit": [("", _("not said")), *units],
            "to_yard": [("", _("nowhere else")), *yards],
        }
        for name, offered in choices.items():
            self.fields[name].choices = offered  # type: ignore[attr-defined]
        self.initial.setdefault("key", uuid4())
        if len(yards) == 1:
            self.initial.setdefault("yard", yards[0][0])

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        cleaned["hours"] = self._hours(cleaned)
        cleaned["measured"] = self._measured(cleaned)
        if cleaned.get("wood") == NEW:
            for name, label in (
                ("species", _("Choose the kind of tree.")),
                ("yard", _("Choose where it lies.")),
            ):
                if not cleaned.get(name):
                    self.add_error(name, label)
        return cleaned

    def _hours(self, cleaned: dict[str, Any]) -> Hours | None:
        typed, tapped = cleaned.get("hours"), cleaned.get("how_long")
        if not typed and (tapped == NO_HOURS or cleaned.get("steps") == ["measure"]):
            return None
        try:
            return parse_hours(typed or tapped or "")
        except NotHours as error:
            untold = _("Tap how long it took, or write it: 2 to 3 h.")
            self.add_error("hours", refusal_words(error) if typed else untold)
        return None

    def sheet(self, *, today: date) -> Sheet:
        """What was said, for the service."""
        cleaned = self.cleaned_data
        is_new = cleaned["wood"] == NEW
        heap = (
            NewHeap(
                species=cleaned["species"],
                yard_id=cleaned["yard"],
                unit_id=cleaned["unit"],
                form=cleaned["lies"],
                exposure=cleaned["exposure"] or "low_heap",
            )
            if is_new
            else None
        )
        return Sheet(
            on=min(cleaned["on"] or today, today),
            steps=tuple(step for step in JOBS if step in cleaned["steps"]),
            hours=cleaned["hours"],
            lot_code="" if is_new else cleaned["wood"],
            new_heap=heap,
            unit_id=cleaned["unit"],
            to_yard_id=cleaned["to_yard"],
            people=tuple(cleaned["people"]),
            cords=cleaned["cords"],
            measured=cleaned["measured"],
            amount=Amount(cleaned["amount"]),
            note=cleaned["note"],
        )

    def _measured(self, cleaned: dict[str, Any]) -> Measured | None:
        """By the tape if sizes were written, else by the picture; a tapped rig by its own heap number."""
        fill = next((fill for fill in self.fills if fill.key == cleaned.get("fill")), None)
        shape, typed = cleaned.get("shape") or (fill.shape if fill else ""), cleaned.get("size")
        if cleaned.get("cords") is not None or not (typed or fill):
            return None
        if typed and not shape:
            self.add_error("shape", _("Tap the shape these sizes are of."))
            return None
        with refusals(self):
            sizes = fill.sizes if fill else {}
            if typed:
                shape, sizes = parse_sizes(shape, typed)
            form = self._form(cleaned, shape)
            rig = fill.rig if fill and shape == "trailer" else ""
            figure = heap_number(rig, form).now.as_figure() if rig and form != "stacked" else None
            volume = measured(shape, sizes, form=form, per_cord=figure)
            return Measured(shape=shape, form=form, sizes=sizes, volume=volume)
        return None

    def _form(self, cleaned: dict[str, Any], shape: str) -> str:
        """How the wood lay: as said, split where it was split that day, else as the lot is."""
        if shape in ("deck", "log", "log_list"):
            return "logs"
        said = "stacked" if shape == "stack" else cleaned.get("lies")
        if said and said not in ("logs", "kindling"):
            return str(said)
        lot = next((lot for lot in self.lots if lot.code == cleaned.get("wood")), None)
        is_split = "split" in (cleaned.get("steps") or ()) or (lot and lot.form not in ROUNDS_FORMS)
        return "splits" if is_split else "rounds"
