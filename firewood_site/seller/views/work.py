"""The work log, in under half a minute, and expenses."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render

from firewood_site.access import seller_required
from firewood_site.clock import now, today
from firewood_site.seller.forms.ground import ExpenseForm, WorkForm
from firewood_site.seller.posted import posted
from inventory.core import InventoryError
from inventory.selectors.lot import lot_choices
from inventory.selectors.work import expense_lines, job_choices, work_log
from inventory.selectors.yards import unit_choices
from inventory.services.work import add_expense, add_work, remove_expense, remove_work
from orders.core.places import cautions_on


@seller_required
def work(request: HttpRequest) -> HttpResponse:
    form = WorkForm(request.POST or None, initial={"on": today()}, jobs=job_choices(), about=_about())
    if request.method == "POST" and form.is_valid():
        low, likely, high = form.range
        try:
            add_work(
                on=form.cleaned_data["on"],
                job=form.cleaned_data["job"],
                hours_low=low,
                hours_likely=likely,
                hours_high=high,
                cords=form.cleaned_data["cords"],
                note=form.cleaned_data["note"],
                at=now(),
                who=request.user.get_username(),
                **_named(form.cleaned_data["about"]),
            )
        except InventoryError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{likely:g} h logged.")
            return redirect("work")
    return _page(request, form, ExpenseForm(initial={"spent_on": today()}, about=_about()))


@seller_required
@posted
def expense(request: HttpRequest) -> HttpResponse:
    form = ExpenseForm(request.POST, about=_about())
    if form.is_valid():
        try:
            add_expense(
                on=form.cleaned_data["spent_on"],
                line=form.cleaned_data["line"],
                dollars=form.cleaned_data["dollars"],
                kind=form.cleaned_data["kind"],
                at=now(),
                who=request.user.get_username(),
                **_named(form.cleaned_data["for_what"]),
            )
        except InventoryError as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"${form.cleaned_data['dollars']:.2f} written down.")
            return redirect("work")
    return _page(request, WorkForm(initial={"on": today()}, jobs=job_choices(), about=_about()), form)


@seller_required
@posted
def work_remove(request: HttpRequest, entry_id: int) -> HttpResponse:
    remove_work(entry_id=entry_id, at=now(), who=request.user.get_username())
    messages.success(request, "Taken back.")
    return redirect("work")


@seller_required
@posted
def expense_remove(request: HttpRequest, expense_id: int) -> HttpResponse:
    remove_expense(expense_id=expense_id, at=now(), who=request.user.get_username())
    messages.success(request, "Taken back.")
    return redirect("work")


def _page(request: HttpRequest, form: WorkForm, spending: ExpenseForm) -> HttpResponse:
    context = {
        "form": form,
        "spending": spending,
        "log": work_log(today()),
        "lines": expense_lines(),
        "cautions": cautions_on("work_log"),
    }
    status = 422 if form.errors or spending.errors else 200
    return render(request, "seller/stock/work.html", context, status=status)


def _about() -> list[tuple[str, str]]:
    lots = [(f"lot:{row.code}", f"lot {row.code} {row.name}") for row in lot_choices()]
    return [*((f"unit:{unit_id}", name) for unit_id, name in unit_choices()), *lots]


def _named(about: str) -> dict[str, Any]:
    kind, _, name = about.partition(":")
    if kind == "lot":
        return {"lot_code": name}
    return {"unit_id": int(name)} if kind == "unit" else {}
