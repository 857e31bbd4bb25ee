"""Measure it: a shape, up to four sizes, and the cords they make, low to high; and what a restack teaches."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.parts import page_or_part
from firewood_site.refusals import PageRefusal, refusals
from firewood_site.seller.forms.measuring import BY_KEY, SHAPES, MeasureForm, RestackForm
from inventory.core.figures import Figure
from inventory.core.measure import Volume, measured, stack_ft3
from inventory.core.units import format_cords
from inventory.selectors.lot_choices import lot_choices
from inventory.selectors.work import heap_number, heap_numbers
from inventory.services.measures import Measured, save_measurement
from routing.selectors.rigs import RigRow, rigs
from routing.services.rigs import learn_heap_number


class NotSaid(PageRefusal):
    """Wood lies in the lot already, and what was measured may be more of it or all of it."""

    field = "is_added"


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What the sizes make, or why they make nothing."""

    volume: Volume | None = None
    problem: str = ""

    @property
    def cords(self) -> Any:
        return self.volume.in_cords() if self.volume else None


@seller_required
def measure(request: HttpRequest) -> HttpResponse:
    asked = request.POST if request.method == "POST" else request.GET
    held = {row.code: row for row in lot_choices(also=asked.get("lot", ""))}
    known = rigs()
    form = _form(asked, lots=[(code, f"{code} {row.name}, {row.yard}") for code, row in held.items()])
    found = _measured(form) if form.is_bound and form.has_sizes else Found()
    if request.method == "POST" and found.volume and form.is_valid():
        lot = form.cleaned_data["lot"]
        if not lot:
            return redirect(f"{reverse('lot-new')}?{urlencode({'measured': _kept(asked).urlencode()})}")
        with refusals(form):
            _save(request, form, found.volume)
            messages.success(request, "Measured and kept.")
            return redirect("lot", code=lot)
    is_refused = request.method == "POST" and bool(form.errors or found.problem)
    context = {
        "form": form, "shape": form.shape, "shapes": SHAPES, "found": found, "lot": asked.get("lot", ""),
        "there": held[lot].cords if (lot := asked.get("lot", "")) in held else None,
    }  # fmt: skip
    context["boxes"] = [_box(rig) for rig in known] if form.shape.key == "trailer" else []
    return page_or_part(
        request, "seller/stock/measure.html", "found", context, status=422 if is_refused else 200
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenAlong:
    """A heap measured before its lot was opened: what the new lot begins with."""

    measured: Measured
    on: date
    note: str

    @property
    def cords(self) -> tuple[Fraction, Fraction, Fraction]:
        return self.measured.volume.in_cords()


def taken_along(query: str) -> TakenAlong | None:
    """What was measured, out of the query of its page; None where it makes no cords."""
    form = _form(QueryDict(query))
    found = _measured(form) if form.is_bound and form.has_sizes else Found()
    if found.volume is None:
        return None
    day = min(form.cleaned_data["on"] or today(), today())
    return TakenAlong(measured=_as_measured(form, found.volume), on=day, note=form.cleaned_data["note"])


def _form(asked: QueryDict, *, lots: Iterable[tuple[str, str]] = ()) -> MeasureForm:
    typed = asked if any(name.startswith("size_") for name in asked) else None
    return MeasureForm(
        typed,
        initial={"on": today(), "lot": asked.get("lot", "")},
        shape=BY_KEY.get(asked.get("shape", ""), SHAPES[1]),
        lots=lots,
        rigs=[rig.name for rig in rigs()],
    )


def _kept(asked: QueryDict) -> QueryDict:
    """The sizes and what goes with them."""
    kept = QueryDict(mutable=True)
    for name, value in asked.items():
        if name.startswith("size_") or name in ("shape", "form", "rig", "cribbed_ends", "on", "note"):
            kept[name] = str(value)
    return kept


def _box(rig: RigRow) -> dict[str, str]:
    """A rig's own box, filled to the rails and heaped as usual, as an address of this page."""
    query = {
        "shape": "trailer",
        "rig": rig.name,
        "size_length": f"{float(rig.box_length_ft):g}",
        "size_width": f"{float(rig.box_width_ft):g}",
        "size_side": f"{float(rig.box_side_ft):g}",
        "size_heap": f"{float(rig.box_heap_ft):g}",
    }
    return {"name": rig.name, "query": urlencode(query)}


def _measured(form: MeasureForm) -> Found:
    """The cords of the sizes so far; quiet while a size is still missing."""
    if not form.is_valid():
        wrong = [error for name, errors in form.errors.items() for error in errors if form.data.get(name)]
        return Found(problem=str(wrong[0]) if wrong else "")
    cleaned = form.cleaned_data
    kind = cleaned.get("form") or "splits"
    with refusals() as refused:
        return Found(
            volume=measured(form.shape.key, form.sizes, form=kind, per_cord=_heap_figure(cleaned, kind))
        )
    return Found(problem=refused.text)


def _heap_figure(cleaned: dict[str, Any], kind: str) -> Figure | None:
    """The rig's own heap number, for loose wood in its box."""
    if not cleaned.get("rig") or kind == "stacked":
        return None
    return heap_number(cleaned["rig"], kind).now.as_figure()


def _save(request: HttpRequest, form: MeasureForm, volume: Volume) -> None:
    """Into the lot: added to what it holds, or in place of it, as was said.

    Errors
        PageRefusal: wood lies there and nobody said which.
    """
    cleaned = form.cleaned_data
    there = next((row.cords for row in lot_choices() if row.code == cleaned["lot"]), Fraction(0))
    if there and not cleaned["is_added"]:
        raise NotSaid(f"{cleaned['lot']} holds {format_cords(there)}: is this more wood, or all of it?")
    save_measurement(
        code=cleaned["lot"],
        measured=_as_measured(form, volume),
        is_added=cleaned["is_added"] == "yes",
        on=min(cleaned["on"] or today(), today()),
        at=now(),
        who=request.user.get_username(),
        note=cleaned["note"],
    )


def _as_measured(form: MeasureForm, volume: Volume) -> Measured:
    return Measured(shape=form.shape.key, form=form.kind, sizes=form.sizes, volume=volume)


@seller_required
def restack(request: HttpRequest) -> HttpResponse:
    known = rigs()
    form = RestackForm(request.POST or None, initial={"on": today()}, rigs=[rig.name for rig in known])
    if request.method == "POST" and form.is_valid():
        cleaned = form.cleaned_data
        with refusals(form):
            stacked = stack_ft3(
                float(cleaned["length"]), float(cleaned["height"]), float(cleaned["depth"]) * 12
            )
            number = learn_heap_number(
                rig_name=cleaned["rig"],
                form=cleaned["form"],
                loose_ft3=cleaned["loose_ft3"],
                stacked_ft3=_hundredths(stacked),
                on=min(cleaned["on"], today()),
                at=now(),
                who=request.user.get_username(),
                reference=cleaned["reference"],
            )
            messages.success(
                request, f"That load's heap number was {number}. Plans use what the rig learned."
            )
            return redirect("restack")
    learned = [history for rig in known for history in heap_numbers(rig.name)]
    context = {"form": form, "learned": learned, "has_rigs": bool(known)}
    return render(request, "seller/stock/restack.html", context, status=422 if form.errors else 200)


def _hundredths(ft3: float) -> Decimal:
    return Decimal(str(round(ft3, 2)))
