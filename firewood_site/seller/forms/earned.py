"""Forms of the pages about what was earned: all are GET forms that change nothing."""

from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from firewood_site.amounts import RangeText
from firewood_site.seller.forms.fields import cords_field, dollars_field, number_field, road_field
from firewood_site.seller.forms.lines import Line, LineForm, Ticks
from firewood_site.templatetags.firewood import whole_cord
from routing.earned.guesses import Guess, HourGuesses
from routing.selectors.earned.guesses import GuessFigures
from routing.selectors.earned.market import HaulAsk
from routing.selectors.earned.market_choices import MarketChoices

MOST_MINUTES = 24 * 60
MONEY = ("revenue", "expenses")


class GuessForm(forms.Form):
    """Hours, price and expenses of one cord, each as low / likely / high in one field."""

    together = forms.TypedChoiceField(
        coerce=float,
        label="Do the guesses err together?",
        choices=[("0", "each by itself"), ("0.5", "half together"), ("0.9", "nearly all together")],
    )

    def __init__(self, data: Any, figures: GuessFigures) -> None:
        self.figures = figures
        self.names = {key: f"guess_{row}" for row, (key, _guess) in enumerate(figures.guesses, start=1)}
        values = {"together": (data or {}).get("together", "0.5")}
        for key, guess in figures.guesses:
            ends = (guess.low, guess.likely, guess.high)
            first = " / ".join(f"{end.normalize():f}" for end in ends)
            name = self.names[key]
            values[name] = data.get(name, data.get(key, first)) if data else first
        super().__init__(values)
        for key, guess in figures.guesses:
            unit = "$" if key in MONEY else "hours"
            self.fields[self.names[key]] = RangeText(
                label=f"{whole_cord(guess.name).capitalize()} ({unit})", most=100_000, required=True
            )

    def guesses(self) -> HourGuesses:
        """What was typed, as the core reads it.

        Errors
            BadGuess: no hours at all.
        """
        cleaned = {}
        for key, guess in self.figures.guesses:
            low, likely, high = (
                Decimal(end.numerator) / end.denominator for end in self.cleaned_data[self.names[key]]
            )
            cleaned[key] = Guess(name=whole_cord(guess.name), low=low, likely=likely, high=high)
        return HourGuesses(
            hours=tuple(guess for key, guess in cleaned.items() if key not in ("revenue", "expenses")),
            revenue=cleaned["revenue"],
            expenses=cleaned["expenses"],
        )


class HaulForm(LineForm):
    """What to haul, where, and which of the two markets it would go to otherwise."""

    lines = {
        "brings": Line(
            label="All of it brings: far / near / kept ($)",
            parts=("far_revenue", "near_revenue", "keeping"),
            help_text="375 / 260 / 100. Empty: from the price sheet; kept: where it would not sell here.",
        ),
        "road": Line(
            label="Miles one way / minutes there, loaded / minutes back, empty",
            parts=("miles", "minutes_out", "minutes_back"),
            help_text="73 / 112 / 105. Empty: from the roads.",
        ),
        "hired": Line(
            label="Hired trailer: a trip / a loaded mile / an empty mile ($)",
            parts=("hire", "hired_loaded", "hired_empty"),
            help_text="95 / 0.95 / 0.75. All of it goes on one trip then.",
        ),
    }

    ticks = {"ticked": Ticks(label="", parts=("anyway", "unsold"))}

    wood = forms.ChoiceField(label="Wood", widget=forms.RadioSelect)
    cords = cords_field("Cords a drop")
    drops = forms.TypedChoiceField(coerce=int, label="Drops", choices=[(n, str(n)) for n in range(1, 7)])
    far = forms.TypedChoiceField(coerce=int, label="Far town")
    near = forms.TypedChoiceField(coerce=int, label="Near town")
    yard = forms.TypedChoiceField(coerce=int, label="From")
    rig = forms.TypedChoiceField(coerce=int, label="Rig")
    anyway = forms.BooleanField(required=False, label="I am going there anyway")
    unsold = forms.BooleanField(required=False, label="It would not sell here this season")
    far_revenue = dollars_field("Far price for all of it ($)", required=False)
    near_revenue = dollars_field("Near price for all of it ($)", required=False)
    keeping = dollars_field("What keeping it is worth ($)", required=False)
    miles = road_field("Miles one way", high=999, places=1, required=False)
    minutes_out = number_field("Minutes there, loaded", high=MOST_MINUTES, places=1, required=False)
    minutes_back = number_field("Minutes back, empty", high=MOST_MINUTES, places=1, required=False)
    hire = dollars_field("Hired trailer, a trip ($)", required=False)
    hired_loaded = road_field("Hired, a loaded mile ($)", each=True, high=99, places=3, required=False)
    hired_empty = road_field("Hired, an empty mile ($)", each=True, high=99, places=3, required=False)

    def __init__(self, data: Any, known: MarketChoices, wood_names: dict[str, str]) -> None:
        first: dict[str, Any] = {
            "wood": known.woods[0], "cords": "1", "drops": "1", "far": known.far_towns[0].id,
            "near": known.near_towns[0].id, "yard": known.yards[0].id, "rig": known.rigs[0].id,
        }  # fmt: skip
        values = {**first, **{name: value for name, value in data.items() if value != ""}}
        values["ticked"] = data.getlist("ticked")
        super().__init__(values)
        choices: dict[str, list[tuple[Any, str]]] = {
            "wood": [(wood, wood_names.get(wood, wood)) for wood in known.woods],
            "far": [(town.id, town.name) for town in known.far_towns],
            "near": [(town.id, town.name) for town in known.near_towns],
            "yard": [(yard.id, yard.name) for yard in known.yards],
            "rig": [(rig.id, rig.name) for rig in known.rigs],
        }
        for name, listed in choices.items():
            field = self.fields[name]
            assert isinstance(field, forms.ChoiceField)
            field.choices = listed

    def clean_cords(self) -> Fraction:
        amount: Fraction = self.cleaned_data["cords"]
        if not amount:
            raise forms.ValidationError("Write how much a drop is, such as 1/2 or 1.")
        return amount

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        if (cleaned.get("miles") is None) != (cleaned.get("minutes_out") is None):
            self.add_error(
                "minutes_out", "Give miles and minutes both, or neither to take them from the roads."
            )
        return cleaned

    def ask(self) -> HaulAsk:
        """What was asked, as the selector reads it."""
        cleaned = self.cleaned_data
        return HaulAsk(
            wood=cleaned["wood"],
            cords=cleaned["cords"],
            drops=cleaned["drops"],
            far_town_id=cleaned["far"],
            near_town_id=cleaned["near"],
            yard_id=cleaned["yard"],
            rig_id=cleaned["rig"],
            is_going_anyway=cleaned["anyway"],
            would_sell_here=not cleaned["unsold"],
            keeping_is_worth=cleaned["keeping"] or Decimal(0),
            far_revenue=cleaned["far_revenue"],
            near_revenue=cleaned["near_revenue"],
            miles=cleaned["miles"],
            minutes_out=cleaned["minutes_out"],
            minutes_back=cleaned["minutes_back"],
            hire=cleaned["hire"] or Decimal(0),
            hired_loaded_mile=cleaned["hired_loaded"],
            hired_empty_mile=cleaned["hired_empty"],
        )
