"""One lot, and every change to it: one page, one form, one service each."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.safestring import mark_safe
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import now, today
from firewood_site.photos import photos_about
from firewood_site.seller.forms import stock as lot_forms
from firewood_site.seller.forms.ground import PhotoForm
from firewood_site.seller.posted import posted
from inventory.core import InventoryError
from inventory.selectors.business import business
from inventory.selectors.costs import lot_cost
from inventory.selectors.figures import wood_choices
from inventory.selectors.lot import LotPage, lot_choices, lot_page
from inventory.selectors.readiness import what_ifs
from inventory.services.counts import correct_count, write_off
from inventory.services.hand_holds import hold_by_hand, release_by_hand
from inventory.services.ledger import LotChanged
from inventory.services.lots import burn_kept, describe_lot, keep_for_own_use, set_sale
from inventory.services.parts import Lie, change_lie, merge_lots, sort_out, steps_left, take_step
from orders.core.places import cautions_on, place_rule


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """Who says so, and when."""

    on: date
    at: datetime
    who: str

    @property
    def without_day(self) -> dict[str, Any]:
        return {"at": self.at, "who": self.who}

    @property
    def all(self) -> dict[str, Any]:
        return {"on": self.on, **self.without_day}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change a lot's page offers: its words, its form, and the service behind it. `write` gives the code
    of the lot to show next."""

    title: str
    button: str
    form: Callable[[Any, LotPage], forms.Form]
    write: Callable[[LotPage, dict[str, Any], Told], str]
    hint: str = ""
    adds: bool = False  # takes from what is open, whatever else was changed; the rest say how things are now


@seller_required
@require_safe
def lot(request: HttpRequest, code: str) -> HttpResponse:
    page = found(lot_page(code, today()), f"There is no lot {code}.")
    gains = [gain for gain in what_ifs(code, on=today()) if gain.is_worth_telling]
    rule = place_rule(business().place_key)
    context = {
        "page": page,
        "row": page.row,
        "rule": rule,
        "may_say": rule.dry_word(page.row.dry.claim),
        "chart": mark_safe(page.chart),  # drawn by inventory.core.chart, which escapes every word
        "gains": gains,
        "cost": lot_cost(code),
        "cautions": cautions_on("lot"),
        "photos": photos_about(f"lot {code}"),
        "photo_form": PhotoForm(initial={"taken_on": today(), "purpose": "reading"}),
    }
    return render(request, "seller/stock/lot.html", context)


@seller_required
def lot_change(request: HttpRequest, code: str, act: str) -> HttpResponse:
    page = found(lot_page(code, today()), f"There is no lot {code}.")
    if act not in CHANGES:
        raise Http404("There is no such change.")
    change = CHANGES[act]
    form = change.form(request.POST or None, page)
    if request.method == "POST" and form.is_valid():
        told = Told(on=today(), at=now(), who=request.user.get_username())
        try:
            if not change.adds:
                refuse_if_changed(request, page)
            result = change.write(page, form.cleaned_data, told)
        except InventoryError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, "Written down.")
            return redirect("lot", code=result)
    context = {"page": page, "row": page.row, "change": change, "form": form}
    return render(request, "seller/stock/lot_change.html", context, status=422 if form.errors else 200)


@seller_required
@posted
def hold_release(request: HttpRequest, code: str, hold_id: int) -> HttpResponse:
    try:
        release_by_hand(code=code, hold_id=hold_id, at=now(), who=request.user.get_username())
    except InventoryError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, "Given back to the open wood.")
    return redirect("lot", code=code)


def refuse_if_changed(request: HttpRequest, page: LotPage) -> None:
    """Two people at once: what was filled in against an older lot is asked for again, beside the new.

    Errors
        LotChanged
    """
    if request.POST.get("version", str(page.version)) != str(page.version):
        raise LotChanged(lot=page.row.code)


def _lie(said: dict[str, Any]) -> Lie:
    return Lie(
        piling=said.get("piling") or None,
        exposure=said.get("exposure") or None,
        is_covered=said.get("is_covered"),
    )


def _count(page: LotPage, said: dict[str, Any], told: Told) -> str:
    correct_count(code=page.row.code, counted=said["counted"], reason=said["reason"], **told.all)
    return page.row.code


def _hold(page: LotPage, said: dict[str, Any], told: Told) -> str:
    hold_by_hand(code=page.row.code, **said, **told.without_day)
    return page.row.code


def _keep(page: LotPage, said: dict[str, Any], told: Told) -> str:
    keep_for_own_use(code=page.row.code, cords=said["cords"], **told.without_day)
    return page.row.code


def _burn(page: LotPage, said: dict[str, Any], told: Told) -> str:
    burn_kept(code=page.row.code, cords=said["cords"], **told.all)
    return page.row.code


def _lose(page: LotPage, said: dict[str, Any], told: Told) -> str:
    write_off(code=page.row.code, cords=said["cords"], reason=said["reason"], **told.all)
    return page.row.code


def _offer(page: LotPage, said: dict[str, Any], told: Told) -> str:
    set_sale(code=page.row.code, sale=said["sale"], **told.without_day)
    return page.row.code


def _step(page: LotPage, said: dict[str, Any], told: Told) -> str:
    return take_step(code=page.row.code, step=said["step"], cords=said["cords"], lie=_lie(said), **told.all)


def _lay(page: LotPage, said: dict[str, Any], told: Told) -> str:
    change_lie(code=page.row.code, lie=_lie(said), **told.all)
    return page.row.code


def _sort(page: LotPage, said: dict[str, Any], told: Told) -> str:
    return sort_out(
        code=page.row.code,
        cords=said["cords"],
        mix=said["mix"],
        wood=said["wood"],
        name=said["name"],
        start_moisture_pct=said["start_moisture_pct"],
        rest_mix=_rest(page, said) if said["rest_is_pure"] else None,
        **told.all,
    )


def _rest(page: LotPage, said: dict[str, Any]) -> dict[str, Any] | None:
    """The mix that stays when every piece of the woods taken out is gone; None if nothing else was in it."""
    kept = {key: share for key, share in page.mix if key not in said["mix"]}
    whole = sum(kept.values())
    if not kept or len(kept) == len(page.mix):
        return None
    return {key: round(share * 100 / whole, 1) for key, share in kept.items()}


def _merge(page: LotPage, said: dict[str, Any], told: Told) -> str:
    merge_lots(code=page.row.code, into=said["into"], **told.all)
    return said["into"]


def _describe(page: LotPage, said: dict[str, Any], told: Told) -> str:
    describe_lot(code=page.row.code, values=said, **told.without_day)
    return page.row.code


def _sort_form(posted: Any, page: LotPage) -> forms.Form:
    form = lot_forms.SortForm(posted, initial={"wood_1": "oak", "percent_1": 100})
    form.offer_woods(wood_choices())
    return form


def _merge_form(posted: Any, page: LotPage) -> forms.Form:
    others = [
        (row.code, f"{row.code} {row.name}, {row.yard}") for row in lot_choices() if row.code != page.row.code
    ]
    return lot_forms.MergeForm(posted, lots=others)


def _lie_form(posted: Any, page: LotPage) -> forms.Form:
    first = {"piling": page.piling, "exposure": page.exposure, "is_covered": page.is_covered}
    return lot_forms.LieForm(posted, initial=first)


def _describe_form(posted: Any, page: LotPage) -> forms.Form:
    first = {
        "name": page.row.name,
        "said_ready": page.row.said_ready,
        "piece_inches": page.piece_inches,
        "note": page.note,
    }
    return lot_forms.DescribeForm(posted, initial=first)


CHANGES = {
    "count": Change(
        title="Put the count right", button="Set the count", write=_count,
        form=lambda posted, page: lot_forms.CountForm(posted),
        hint="Counted or restacked: write what is there. The books keep the difference as a correction.",
    ),
    "hold": Change(
        title="Set some aside", button="Hold it", write=_hold, adds=True,
        form=lambda posted, page: lot_forms.HoldForm(posted),
        hint="For somebody who phoned. An order holds its own wood.",
    ),
    "keep": Change(
        title="Keep some for ourselves", button="Keep it", write=_keep,
        form=lambda posted, page: lot_forms.KeepForm(posted),
    ),
    "burn": Change(
        title="Burned at home", button="Take it off", write=_burn, adds=True,
        form=lambda posted, page: lot_forms.BurnForm(posted),
        hint="Comes off what is kept for ourselves.",
    ),
    "loss": Change(
        title="Lost in handling", button="Write it off", write=_lose, adds=True,
        form=lambda posted, page: lot_forms.LossForm(posted),
    ),
    "sale": Change(
        title="Offer it or not", button="Save", write=_offer,
        form=lambda posted, page: lot_forms.SaleForm(posted, initial={"sale": page.row.sale}),
    ),
    "step": Change(
        title="Buck, haul, split or stack", button="Write it down", write=_step,
        form=lambda posted, page: lot_forms.StepForm(posted, steps=steps_left(page.row.form)),
        hint="Splitting starts a new drying clock from today's moisture.",
    ),
    "lay": Change(
        title="Spread, stack or cover", button="Save", write=_lay, form=_lie_form,
        hint="From today on it dries as it lies then.",
    ),
    "sort": Change(
        title="Sort a wood out", button="Open the new lot", write=_sort, form=_sort_form,
        hint="Hardwood found in a fir pile belongs to next year: it gets a lot and a clock of its own.",
    ),
    "merge": Change(
        title="Put it onto another lot", button="Put them together", write=_merge, form=_merge_form,
        hint="The whole lot goes, with its holds. Both histories are kept. Dry and wet wood stay apart.",
    ),
    "describe": Change(
        title="Name and note", button="Save", write=_describe, form=_describe_form,
    ),
}  # fmt: skip
