"""Measure it: a shape, up to four sizes, and the cords they make, low to high; and what a restack teaches."""

from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from urllib.parse import urlencode

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.parts import page_or_part
from firewood_site.seller.forms.measuring import BY_KEY, SHAPES, MeasureForm, RestackForm
from inventory.core import InventoryError
from inventory.core.figures import Figure
from inventory.core.measure import Volume, measured, stack_ft3
from inventory.selectors.lot import lot_choices
from inventory.selectors.work import heap_number, heap_numbers
from inventory.services.measures import save_measurement, save_restack
from routing.selectors.rigs import RigRow, rigs


@dataclass(frozen=True, slots=True, kw_only=True)
class Reckoned:
    """What the sizes make, or why they make nothing."""

    volume: Volume | None = None
    trouble: str = ""

    @property
    def cords(self) -> Any:
        return self.volume.in_cords() if self.volume else None


@seller_required
def measure(request: HttpRequest) -> HttpResponse:
    asked = request.POST if request.method == "POST" else request.GET
    shape = BY_KEY.get(asked.get("shape", ""), SHAPES[1])
    lots = [(row.code, f"{row.code} {row.name}, {row.yard}") for row in lot_choices()]
    known = rigs()
    names = [rig.name for rig in known]
    first = {"on": today(), "lot": asked.get("lot", "")}
    typed = asked if any(name.startswith("size_") for name in asked) else None
    form = MeasureForm(typed, initial=first, shape=shape, lots=lots, rigs=names)
    reckoned = _reckon(form) if typed is not None and form.has_sizes else Reckoned()
    if request.method == "POST" and reckoned.volume and form.is_valid():
        lot = form.cleaned_data["lot"]
        if not lot:
            return redirect(f"{reverse('lot-new')}?cords={float(reckoned.cords[1]):.2f}")
        try:
            _save(request, form, reckoned.volume)
        except InventoryError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Measured and kept.")
            return redirect("lot", code=lot)
    is_refused = request.method == "POST" and bool(form.errors or reckoned.trouble)
    context = {"form": form, "shape": shape, "shapes": SHAPES, "found": reckoned, "lot": asked.get("lot", "")}
    context["boxes"] = [_box(rig) for rig in known] if shape.key == "trailer" else []
    return page_or_part(
        request, "seller/stock/measure.html", "found", context, status=422 if is_refused else 200
    )


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


def _reckon(form: MeasureForm) -> Reckoned:
    """The cords of the sizes so far; quiet while a size is still missing."""
    if not form.is_valid():
        wrong = [error for name, errors in form.errors.items() for error in errors if form.data.get(name)]
        return Reckoned(trouble=str(wrong[0]) if wrong else "")
    said = form.cleaned_data
    kind = said.get("form") or "splits"
    try:
        volume = measured(form.shape.key, form.sizes, form=kind, per_cord=_heap_figure(said, kind))
    except InventoryError as error:
        return Reckoned(trouble=str(error))
    return Reckoned(volume=volume)


def _heap_figure(said: dict[str, Any], kind: str) -> Figure | None:
    """The rig's own heap number, for loose wood in its box."""
    if not said.get("rig") or kind == "stacked":
        return None
    return heap_number(said["rig"], kind).now.as_figure()


def _save(request: HttpRequest, form: MeasureForm, volume: Volume) -> None:
    said = form.cleaned_data
    save_measurement(
        code=said["lot"],
        shape=form.shape.key,
        form=said.get("form") or ("stacked" if form.shape.key == "stack" else "logs"),
        sizes=form.sizes,
        volume=volume,
        on=min(said["on"] or today(), today()),
        at=now(),
        who=request.user.get_username(),
        note=said["note"],
    )


@seller_required
def restack(request: HttpRequest) -> HttpResponse:
    known = rigs()
    form = RestackForm(request.POST or None, initial={"on": today()}, rigs=[rig.name for rig in known])
    if request.method == "POST" and form.is_valid():
        said = form.cleaned_data
        try:
            stacked = stack_ft3(float(said["length"]), float(said["height"]), float(said["depth"]) * 12)
            number = save_restack(
                rig_name=said["rig"],
                form=said["form"],
                loose_ft3=said["loose_ft3"],
                stacked_ft3=_hundredths(stacked),
                on=min(said["on"], today()),
                at=now(),
                who=request.user.get_username(),
                reference=said["reference"],
            )
        except InventoryError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"That load's heap number was {number}. The rig has learned from it.")
            return redirect("restack")
    learned = [history for rig in known for history in heap_numbers(rig.name)]
    context = {"form": form, "learned": learned, "has_rigs": bool(known)}
    return render(request, "seller/stock/restack.html", context, status=422 if form.errors else 200)


def _hundredths(ft3: float) -> Decimal:
    return Decimal(str(round(ft3, 2)))
