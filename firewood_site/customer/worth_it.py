"""Worth it? A load looked at, three guesses, and what an hour of it earns: asked, figured, and drawn."""

from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from html import escape
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from firewood_site.amounts import RangeText
from firewood_site.measured import MeasuredField, in_place
from firewood_site.pictures import row_picture, trailer_picture
from inventory.core.figures import Figure, table_of
from inventory.core.local import local, whole_money
from inventory.core.local_measures import figure_here, measure_words, unit_here
from inventory.core.measure import Volume, measured
from inventory.core.species import PLANNING_FACTOR, cord_weight_lb, heavy_green_pct
from inventory.core.units import cord_units
from routing.earned.guesses import Guess
from routing.earned.load_worth import LoadGuesses, LoadWorth, load_worth

ROW, ROW_HIGH_FT, PIECE_IN = "row", 4.0, 16.0
FILLS = {"half": (0.5, 0.0), "rails": (1.0, 0.0), "heaped": (1.0, 1.0)}
FILL_NAMES = {
    "half": gettext_lazy("half full"),
    "rails": gettext_lazy("to the rails"),
    "heaped": gettext_lazy("heaped up"),
    ROW: gettext_lazy("a stacked row"),
}
BOXES = {
    "bed_short": in_place(gettext_lazy("Pickup bed, 5 1/2 ft"), gettext_lazy("Pickup bed, 1.7 m")),
    "bed_long": in_place(gettext_lazy("Pickup bed, 8 ft"), gettext_lazy("Pickup bed, 2.4 m")),
    "trailer_5x8": in_place(gettext_lazy("Trailer, 5 by 8 ft"), gettext_lazy("Trailer, 1.5 by 2.4 m")),
    "trailer_6x10": in_place(gettext_lazy("Trailer, 6 by 10 ft"), gettext_lazy("Trailer, 1.8 by 3 m")),
    "trailer_6x12": in_place(gettext_lazy("Trailer, 6 by 12 ft"), gettext_lazy("Trailer, 1.8 by 3.7 m")),
    "trailer_7x14": in_place(gettext_lazy("Trailer, 7 by 14 ft"), gettext_lazy("Trailer, 2.1 by 4.3 m")),
}
WOODS = {
    "fir": gettext_lazy("Douglas-fir"),
    "ponderosa_pine": gettext_lazy("ponderosa pine"),
    "larch": gettext_lazy("western larch"),
    "alder": gettext_lazy("red alder"),
    "bigleaf_maple": gettext_lazy("bigleaf maple"),
    "madrone": gettext_lazy("madrone"),
    "oak": gettext_lazy("oak"),
}
DRY_PCT = 20.0  # dry basis, what ready firewood holds
NEXT = {
    "cords": gettext_lazy("Measure the load with a tape: its size moves the answer most."),
    "price": gettext_lazy("Ask what it sells for: the price moves the answer most."),
    "hours": gettext_lazy("Time one load by the clock: the hours move the answer most."),
    "costs": gettext_lazy("Add up fuel, chain and wear: the cash moves the answer most."),
}


class WorthForm(forms.Form):
    """All of it stands in the address; nothing is kept."""

    fill = forms.ChoiceField(label=gettext_lazy("How full"), choices=list(FILL_NAMES.items()))
    box = forms.ChoiceField(label=gettext_lazy("In what"), choices=list(BOXES.items()), required=False)
    feet = MeasuredField(
        kept="ft", low=1, high=400, places=1, required=False,
        label=in_place(
            gettext_lazy("Length of the row (ft), 4 ft high"),
            gettext_lazy("Length of the row (m), 1.2 m high"),
        ),
    )  # fmt: skip
    form = forms.ChoiceField(
        label=gettext_lazy("It is"),
        choices=[("splits", gettext_lazy("split")), ("rounds", gettext_lazy("rounds"))],
    )
    wood = forms.ChoiceField(label=gettext_lazy("Wood"), choices=list(WOODS.items()))
    dry = forms.ChoiceField(
        label=gettext_lazy("How dry"),
        choices=[("green", gettext_lazy("green")), ("dry", gettext_lazy("dry"))],
    )
    hours = RangeText(label=gettext_lazy("Hours still to work on it, all people together"), most=500)
    price = RangeText(label=gettext_lazy("What a cord of it sells for ($)"), most=5000, example="240–260")
    costs = RangeText(label=gettext_lazy("Cash it takes: fuel, chain, wear ($)"), most=20000, example="15–30")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("box", "feet", "hours", "price"):
            self.fields[name].is_asked = True  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or {}
        for name in ("hours", "price"):
            if name not in self.errors and not (cleaned.get(name) and cleaned[name][0] > 0):
                self.add_error(name, _("Write a guess, such as 3 or 2 to 4."))
        if cleaned.get("fill") == ROW and not cleaned.get("feet") and "feet" not in self.errors:
            self.add_error("feet", _("Write how long the row is."))
        return cleaned

    @property
    def pictures(self) -> list[tuple[str, Any, str]]:
        boxes = [
            (key, FILL_NAMES[key], trailer_picture(side, 0.45 * heap)) for key, (side, heap) in FILLS.items()
        ]
        return [*boxes, (ROW, FILL_NAMES[ROW], row_picture(16))]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What the page says. Units: cords, lb, dollars an hour, each low, likely, high."""

    cords: tuple[Fraction, Fraction, Fraction]
    pounds: tuple[Fraction, Fraction, Fraction]
    worth: LoadWorth
    wood: str
    what: str

    @property
    def next(self) -> str:
        return str(NEXT[self.worth.measure]) if self.worth.measure else ""


def answer(cleaned: dict[str, Any]) -> Answer:
    """The load and its worth, from what was tapped and guessed.

    Errors
        BadGuess, BadSize
    """
    volume = _volume(cleaned)
    low, likely, high = volume.in_cords()
    lb = _lb_per_cord(cleaned)
    guesses = LoadGuesses(
        cords=_guess("cords", (low, likely, high)),
        price=_guess("price", cleaned["price"]),
        hours=_guess("hours", cleaned["hours"]),
        costs=_guess("costs", cleaned["costs"] or (Fraction(0),) * 3),
    )
    return Answer(
        cords=(low, likely, high),
        pounds=(low * lb / PLANNING, likely * lb, high * lb * PLANNING),
        worth=load_worth(guesses),
        wood=str(WOODS[cleaned["wood"]]),
        what=_what(cleaned),
    )


PLANNING = Fraction(PLANNING_FACTOR).limit_denominator(1000)  # published weights of one wood differ so far


def _volume(cleaned: dict[str, Any]) -> Volume:
    if cleaned["fill"] == ROW:
        sizes = {"length": float(cleaned["feet"]), "height": ROW_HIGH_FT, "depth_in": PIECE_IN}
        return measured("stack", sizes, form="stacked")
    table = table_of("boxes.toml", package="routing.core")
    box, heap = table[cleaned["box"] or "trailer_6x12"], Figure.read(table["heap"], "boxes.heap").value
    side, crown = FILLS[cleaned["fill"]]
    sizes = {
        "length": box["value"], "width": box["width"], "side": box["side"] * side, "heap": heap * crown
    }  # fmt: skip
    return measured("trailer", sizes, form=cleaned["form"])


def _lb_per_cord(cleaned: dict[str, Any]) -> Fraction:
    mix = {cleaned["wood"]: 100}
    return Fraction(cord_weight_lb(mix, heavy_green_pct(mix) if cleaned["dry"] == "green" else DRY_PCT))


def _what(cleaned: dict[str, Any]) -> str:
    if cleaned["fill"] == ROW:
        return _("A stacked row of %(long)s") % {"long": measure_words(cleaned["feet"], "ft", places=1)}
    return f"{BOXES[cleaned['box'] or 'trailer_6x12']}, {FILL_NAMES[cleaned['fill']]}"


def _guess(name: str, ends: tuple[Fraction, Fraction, Fraction]) -> Guess:
    low, likely, high = (Decimal(str(round(float(end), 4))) for end in ends)
    return Guess(name=name, low=low, likely=likely, high=high)


def _tens(weight: Fraction | Decimal) -> int:
    return round(weight / 10) * 10


def drawn(found: Answer, *, fill: str, seller: str) -> str:
    """The answer as a picture to send: plain SVG, every color its own, so that it looks alike anywhere."""
    worth = found.worth
    picture = row_picture(16) if fill == ROW else trailer_picture(FILLS[fill][0], 0.45 * FILLS[fill][1])
    paths = picture[picture.index(">") + 1 :]
    for name, look in LOOKS.items():
        paths = paths.replace(f'class="{name}"', look)
    lines = [
        (40, 68, 34, "bold", _("Worth it?")),
        (40, 112, 22, "normal", f"{found.what}, {found.wood}"),
        (40, 172, 40, "bold", cords_range(found)),
        (40, 214, 22, "normal", pounds_range(found)),
        (40, 282, 48, "bold", per_hour_range(worth)),
        (40, 322, 22, "normal", _("%(low)s to %(high)s an hour in 8 of 10 cases") % band(worth)),
        (40, 364, 18, "normal", found.next),
        (40, 400, 16, "normal", seller),
    ]
    text = "".join(
        f'<text x="{x}" y="{y}" font-size="{size}" font-weight="{weight}" fill="#1d1a15" '
        f'font-family="sans-serif">{escape(words)}</text>'
        for x, y, size, weight, words in lines
    )
    return (
        '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 800 420" width="800" height="420" role="img" '
        f'aria-label="{escape(_("Worth it?"))}"><rect width="800" height="420" fill="#f6f2e9"/>'
        f'<g transform="translate(560 20) scale(1.9)">{paths.replace("</svg>", "")}</g>{text}</svg>'
    )


LOOKS = {
    "log-ground": 'stroke="#bfb59f" stroke-width="2"',
    "log-fill": 'fill="#c8914a" stroke="#5b4026"',
    "box-side": 'fill="none" stroke="#1d1a15" stroke-width="2.5"',
    "box-wheel": 'fill="#1d1a15"',
}


def cords_range(found: Answer) -> str:
    each = cord_units()
    low, likely, high = (f"{float(cords * Fraction(each)):.2f}" for cords in found.cords)
    if local().is_metric:
        return _("%(likely)s m³ stacked, %(low)s to %(high)s") % {"likely": likely, "low": low, "high": high}
    return _("%(likely)s cords, %(low)s to %(high)s") % {"likely": likely, "low": low, "high": high}


def pounds_range(found: Answer) -> str:
    low, likely, high = (_tens(figure_here(pounds, "lb")) for pounds in found.pounds)
    told = {"likely": f"{likely:,} {unit_here('lb')}", "low": f"{low:,}", "high": f"{high:,}"}
    return _("about %(likely)s, %(low)s to %(high)s") % told


def per_hour_range(worth: LoadWorth) -> str:
    return _("%(dollars)s an hour") % {"dollars": _dollars(worth.per_hour.likely)}


def band(worth: LoadWorth) -> dict[str, str]:
    return {"low": _dollars(worth.simulated.band_low), "high": _dollars(worth.simulated.band_high)}


def _dollars(amount: Decimal) -> str:
    return whole_money(amount).replace("-", "−", 1)
