"""Expenses, and what was logged put right: all on the page of Log it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.utils.translation import gettext as _

from firewood_site.access import found, seller_required
from firewood_site.clock import signed
from firewood_site.refusals import refusals
from firewood_site.seller.forms.ground import WorkForm
from firewood_site.seller.log_page import about_choices, log_page, logged_last, spending_form
from firewood_site.seller.post_only import post_only
from inventory.core.hours import hours_shown
from inventory.core.local import to_the_cent
from inventory.selectors.work import job_choices, work_entry
from inventory.services.work import add_expense, correct_work, remove_expense, remove_work


@seller_required
@post_only
def expense(request: HttpRequest) -> HttpResponse:
    form = spending_form(request.POST)
    if form.is_valid():
        with refusals(form):
            add_expense(
                on=form.cleaned_data["on"],
                line=form.cleaned_data["line"],
                dollars=form.cleaned_data["dollars"],
                kind=form.cleaned_data["kind"],
                job=form.cleaned_data["job"],
                **_named(form.cleaned_data["about"]),
                **signed(request),
            )
            messages.success(
                request,
                _("{dollars} recorded.").format(dollars=to_the_cent(form.cleaned_data["dollars"])),
            )
            return redirect(logged_last())
    return log_page(request, spending=form)


@seller_required
def work_change(request: HttpRequest, entry_id: int) -> HttpResponse:
    """Put one entry right."""
    row = found(work_entry(entry_id), _("That entry was taken back."))
    hours = hours_shown(row.hours)
    first = {
        "job": row.job_key, "hours": hours, "about": row.about_key, "on": row.on, "cords": row.cords,
        "note": row.note,
    }  # fmt: skip
    form = WorkForm(
        request.POST or None, initial=first, jobs=job_choices(), about=about_choices(keep=row.about_key),
        auto_id="right-%s",
    )  # fmt: skip
    if request.method == "POST" and form.is_valid():
        with refusals(form):
            correct_work(entry_id=entry_id, **_written(form), **signed(request))
            messages.success(request, _("Saved."))
            return redirect(logged_last())
    return log_page(request, entry=row, correction=form)


@seller_required
@post_only
def work_remove(request: HttpRequest, entry_id: int) -> HttpResponse:
    remove_work(entry_id=entry_id, **signed(request))
    messages.success(request, _("Taken back."))
    return redirect(logged_last())


@seller_required
@post_only
def expense_remove(request: HttpRequest, expense_id: int) -> HttpResponse:
    remove_expense(expense_id=expense_id, **signed(request))
    messages.success(request, _("Taken back."))
    return redirect(logged_last())


def _written(form: WorkForm) -> dict[str, Any]:
    told = dict(form.cleaned_data)
    return _named(told.pop("about")) | told


def _named(about: str) -> dict[str, Any]:
    kind, _, name = about.partition(":")
    if kind == "lot":
        return {"lot_code": name}
    return {"unit_id": int(name)} if kind == "unit" else {}
