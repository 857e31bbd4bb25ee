"""One lot, and every change to it: one page, one form, one service each."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from firewood_site.access import found, seller_required
from firewood_site.clock import signed, today
from firewood_site.people import Author
from firewood_site.refusals import refusals
from firewood_site.seller.forms import stock as lot_forms
from firewood_site.seller.forms.ground import PhotoForm
from firewood_site.seller.heap_page import guesses_shown, shown
from firewood_site.seller.lot_signs import SignForm, write_signs
from firewood_site.seller.steps import step, told_at
from inventory.selectors.business import business
from inventory.selectors.costs import lot_cost
from inventory.selectors.figures import wood_choices
from inventory.selectors.holds import HoldRow
from inventory.selectors.lot import LotPage, lot_page
from inventory.selectors.lot_choices import lot_choices
from inventory.selectors.photos import photos_about
from inventory.selectors.readiness import DryChance, dry_chances
from inventory.selectors.yards import unit_choices
from inventory.services.counts import write_off
from inventory.services.facts import correct_facts
from inventory.services.hand_holds import hold_by_hand, release_by_hand
from inventory.services.ledger import LotChanged
from inventory.services.lots import burn_kept, describe_lot, keep_for_own_use, keep_guesses, set_sale
from inventory.services.parts import Storage, change_storage, merge_lots, sort_out
from inventory.services.weighing import save_scale_ticket
from orders.core.places import cautions_on, place_rule
from orders.selectors.dry_windows import promised_dry
from orders.selectors.shortfalls import short_lots
from routing.selectors.heaps.verdict import heap_view

type Write = Callable[[LotPage, dict[str, Any], Author], str | tuple[str, str] | None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change a lot's page offers: its words, its form, and the service behind it. `write` gives the code
    of the lot to show next if it is another, with what to say if there is more than that it was written."""

    title: str
    button: str
    form: Callable[[Any, LotPage], forms.Form]
    write: Write
    hint: str = ""
    adds: bool = False  # takes from what is open, whatever else was changed; the rest say how things are now


@seller_required
@require_safe
def lot(request: HttpRequest, code: str) -> HttpResponse:
    return lot_with_sheet(
        request, found(lot_page(code, today()), _("There is no lot {code}.").format(code=code))
    )


def lot_with_sheet(
    request: HttpRequest, page: LotPage, *, sheet: str = "", form: forms.Form | None = None, **more: Any
) -> HttpResponse:
    """The lot's page, with the form of one change open at its top."""
    code = page.row.code
    heap = heap_view(code, on=today())
    rule = place_rule(business().place_key)
    context = {
        **more,
        "sheet": sheet,
        "form": form,
        "page": page,
        "row": page.row,
        "holds": _holds_with_chances(page),
        "rule": rule,
        "may_say": rule.dry_word(page.row.dry.claim),
        "chart": page.chart,
        "heap": heap and shown(heap, page, on=today()),
        "cost": lot_cost(code),
        "short": next(iter(short_lots(today(), code=code)), None),
        "cautions": cautions_on("lot"),
        "photos": photos_about(f"lot {code}"),
        "photo_form": PhotoForm(initial={"on": today(), "purpose": "reading"}),
    }
    is_wrong = form is not None and bool(form.errors)
    return render(request, "seller/stock/lot.html", context, status=422 if is_wrong else 200)


def _holds_with_chances(page: LotPage) -> list[tuple[HoldRow, DryChance | None]]:
    """What is promised of a lot, each with the chance that it is dry, and still dry, when it was promised."""
    windows = promised_dry(hold.order_number for hold in page.holds if hold.order_number)
    seen = dry_chances(page.row.code, windows.values(), on=today()) if windows else ()
    chances = dict(zip(windows, seen, strict=True))
    return [(hold, chances.get(hold.order_number or 0)) for hold in page.holds]


@seller_required
def lot_change(request: HttpRequest, code: str, act: str) -> HttpResponse:
    page = found(lot_page(code, today()), _("There is no lot {code}.").format(code=code))
    if act not in CHANGES:
        raise Http404(_("There is no such change."))
    change = CHANGES[act]
    form = change.form(request.POST or None, page)
    if request.method == "POST" and form.is_valid():
        told = Author(on=today(), **signed(request))
        with refusals(form):
            if not change.adds:
                refuse_if_changed(request, page)
            done = change.write(page, form.cleaned_data, told)
            result, says = done if isinstance(done, tuple) else (done, _("Saved."))
            messages.success(request, says)
            return redirect("lot", code=result or code)
    return lot_with_sheet(request, page, sheet="seller/stock/lot_change.html", form=form, change=change)


@step(told_at("lot", "code"))
def hold_release(request: HttpRequest, code: str, hold_id: int) -> HttpResponse:
    release_by_hand(code=code, hold_id=hold_id, **signed(request))
    messages.success(request, _("Given back to the wood for sale."))
    return redirect("lot", code=code)


def refuse_if_changed(request: HttpRequest, page: LotPage) -> None:
    """Two people at once: what was filled in against an older lot is asked for again, beside the new.

    Errors
        LotChanged
    """
    if request.POST.get("version", str(page.version)) != str(page.version):
        raise LotChanged(lot=page.row.code)


def _as_filled_in(service: Callable[..., object], *, is_dated: bool = False) -> Write:
    """A service that takes just what its form asks, and today where it is dated."""

    def write(page: LotPage, cleaned: dict[str, Any], told: Author) -> None:
        service(code=page.row.code, **cleaned, **(told.all if is_dated else told.without_day))

    return write


def _lose(page: LotPage, cleaned: dict[str, Any], told: Author) -> None:
    write_off(code=page.row.code, cords=cleaned["cords"], reason=cleaned["note"], **told.all)


def _lay(page: LotPage, cleaned: dict[str, Any], told: Author) -> None:
    change_storage(code=page.row.code, storage=Storage(**cleaned), **told.all)


def _sort(page: LotPage, cleaned: dict[str, Any], told: Author) -> str:
    return sort_out(
        code=page.row.code,
        cords=cleaned["cords"],
        mix=cleaned["mix"],
        wood=cleaned["wood"],
        name=cleaned["name"],
        start_moisture_pct=cleaned["start_moisture_pct"],
        rest_mix=_rest(page, cleaned) if cleaned["rest_is_pure"] else None,
        **told.dated(cleaned["on"]).all,
    )


def _rest(page: LotPage, cleaned: dict[str, Any]) -> dict[str, Any] | None:
    """The mix that stays when every piece of the woods taken out is gone; None if nothing else was in it."""
    kept = {key: share for key, share in page.row.mix if key not in cleaned["mix"]}
    whole = sum(kept.values())
    if not kept or len(kept) == len(page.row.mix):
        return None
    return {key: round(share * 100 / whole, 1) for key, share in kept.items()}


def _merge(page: LotPage, cleaned: dict[str, Any], told: Author) -> str:
    merge_lots(code=page.row.code, into=cleaned["into"], **told.all)
    return cleaned["into"]


def _describe(page: LotPage, cleaned: dict[str, Any], told: Author) -> None:
    describe_lot(code=page.row.code, values=cleaned, **told.without_day)


def _sort_form(posted: Any, page: LotPage) -> forms.Form:
    form = lot_forms.SortForm(posted, initial={"wood_1": "oak", "percent_1": 100, "on": today()})
    form.offer_woods(wood_choices())
    return form


def _merge_form(posted: Any, page: LotPage) -> forms.Form:
    others = [
        (row.code, f"{row.code} {row.name}, {row.yard}") for row in lot_choices() if row.code != page.row.code
    ]
    return lot_forms.MergeForm(posted, lots=others)


def _storage_form(posted: Any, page: LotPage) -> forms.Form:
    first = {"piling": page.piling, "exposure": page.exposure, "is_covered": page.is_covered}
    return lot_forms.StorageForm(posted, initial=first)


def _facts(page: LotPage, cleaned: dict[str, Any], told: Author) -> None:
    names = ("unit_id", "felled_on", "bucked_on", "split_on", "drying_from", "start_moisture_pct", "mix")
    correct_facts(code=page.row.code, **{name: cleaned[name] for name in names}, **told.all)


def _facts_form(posted: Any, page: LotPage) -> forms.Form:
    first: dict[str, Any] = {
        "unit_id": page.unit_id,
        "felled_on": page.felled_on,
        "bucked_on": page.bucked_on,
        "split_on": page.split_on,
        "drying_from": page.drying_from,
        "start_moisture_pct": page.start_moisture_pct,
    }
    for place, (key, share) in enumerate(page.row.mix, start=1):
        first |= {f"wood_{place}": key, f"percent_{place}": share}
    return lot_forms.FactsForm(posted, initial=first, woods=wood_choices(), units=unit_choices())


def _describe_form(posted: Any, page: LotPage) -> forms.Form:
    first = {
        "name": page.row.name,
        "said_ready": page.row.said_ready,
        "piece_inches": page.piece_inches,
        "across_inches": page.across_inches,
        "note": page.note,
    }
    return lot_forms.DescribeForm(posted, initial=first)


def _guess(page: LotPage, cleaned: dict[str, Any], told: Author) -> None:
    keep_guesses(code=page.row.code, guesses=cleaned["by_the_cord"], **told.without_day)


def _sign(page: LotPage, cleaned: dict[str, Any], told: Author) -> tuple[str, str]:
    return page.row.code, write_signs(page, cleaned, **told.all)


CHANGES = {
    "sign": Change(
        title="How dry, without a meter", button="Work it out", write=_sign, adds=True,
        form=lambda posted, page: SignForm(posted),
        hint="Any of the three. Mark a piece from the middle of the heap, weigh it, then again later.",
    ),
    "guess": Change(
        title="Your guesses for this heap", button="Save", write=_guess,
        form=lambda posted, page: lot_forms.GuessesForm(
            posted, initial=guesses_shown(page), cords=page.row.on_hand
        ),
        hint="Still to come, for all that lies here: 2, or 1.5 to 3. Left empty, your work log counts, "
        "else the usual.",
    ),
    "hold": Change(
        title="Set some aside", button="Hold it", write=_as_filled_in(hold_by_hand), adds=True,
        form=lambda posted, page: lot_forms.HoldForm(posted),
        hint="For somebody who phoned. Orders hold their own wood.",
    ),
    "keep": Change(
        title="Keep some for ourselves", button="Keep it", write=_as_filled_in(keep_for_own_use),
        form=lambda posted, page: lot_forms.KeepForm(posted),
    ),
    "burn": Change(
        title="Burned at home", button="Take it off",
        write=_as_filled_in(burn_kept, is_dated=True), adds=True,
        form=lambda posted, page: lot_forms.BurnForm(posted),
        hint="Comes off what is kept for ourselves.",
    ),
    "loss": Change(
        title="Lost in handling", button="Write it off", write=_lose, adds=True,
        form=lambda posted, page: lot_forms.LossForm(posted),
    ),
    "weigh": Change(
        title="Weighed on a scale", button="Save",
        write=_as_filled_in(save_scale_ticket, is_dated=True), adds=True,
        form=lambda posted, page: lot_forms.ScaleForm(posted),
        hint="A load of this lot only. It teaches what this wood weighs, green or dry.",
    ),
    "sale": Change(
        title="Offer it or not", button="Save", write=_as_filled_in(set_sale),
        form=lambda posted, page: lot_forms.SaleForm(posted, initial={"sale": page.row.sale}),
    ),
    "lay": Change(
        title="Spread, stack or cover", button="Save", write=_lay, form=_storage_form,
        hint="From today its drying is figured this way.",
    ),
    "sort": Change(
        title="Sort a wood out", button="Open the new lot", write=_sort, form=_sort_form,
        hint="Hardwood found in a fir pile belongs to next year: it gets a lot and a clock of its own.",
    ),
    "merge": Change(
        title="Put it onto another lot", button="Put them together", write=_merge, form=_merge_form,
        hint="The whole lot goes, with its holds. Both histories are kept. Dry and wet wood stay apart.",
    ),
    "facts": Change(
        title="Correct the facts", button="Save", write=_facts, form=_facts_form,
        hint="Dryness and planned weight follow at once. Tickets already given stay. The audit trail keeps "
        "what stood here before.",
    ),
    "describe": Change(
        title="Name and note", button="Save", write=_describe, form=_describe_form,
    ),
}  # fmt: skip
