"""The page of Log it: the sheet, other hours and money out, and what was logged last."""

from typing import Any

from django.forms import Form
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _

from firewood_site.clock import today
from firewood_site.people import people
from firewood_site.seller.closures_today import IN_THE_WOODS, closure_notes
from firewood_site.seller.forms.ground import ExpenseForm, WorkForm
from firewood_site.seller.forms.log import LogForm, fills_of
from firewood_site.seller.forms.measuring import SHAPES
from inventory.selectors.figures import wood_choices
from inventory.selectors.logged import logged_rows
from inventory.selectors.lot_choices import lot_choices
from inventory.selectors.work import WorkRow, expense_lines, job_choices, work_log
from inventory.selectors.yards import unit_choices, yard_choices
from orders.core.places import cautions_on
from routing.selectors.days.shuts import shuts_on
from routing.selectors.rigs import rigs


def log_page(
    request: HttpRequest,
    *,
    sheet: LogForm | None = None,
    spending: ExpenseForm | None = None,
    entry: WorkRow | None = None,
    correction: WorkForm | None = None,
) -> HttpResponse:
    """The whole page around the form that was sent; with an entry, its correction in the sheet's place."""
    sheet = sheet or sheet_form()
    filled: dict[str, Form | None] = {
        "form": sheet, "spending": spending or spending_form(), "correction": correction,
    }  # fmt: skip
    context: dict[str, Any] = {
        **filled,
        "fills": sheet.fills,
        "shapes": SHAPES,
        "entry": entry,
        "log": work_log(today()),
        "sheets": logged_rows(),
        "lines": expense_lines(),
        "cautions": cautions_on("work_log"),
        "closures": closure_notes(shuts_on(today()), kinds=IN_THE_WOODS),
    }
    is_wrong = any(form.errors for form in filled.values() if form)
    return render(request, "seller/stock/log.html", context, status=422 if is_wrong else 200)


def logged_last() -> str:
    """Where what was just logged stands."""
    return f"{reverse('log')}#last"


def sheet_form(typed: Any = None, files: Any = None, **more: Any) -> LogForm:
    also = (typed or more.get("initial") or {}).get("wood", "")
    lots = lot_choices(newest_first=True, also=also)
    return LogForm(
        typed, files, lots=lots, fills=fills_of(rigs()), people=[person.name for person in people()],
        yards=yard_choices(), units=unit_choices(), woods=wood_choices(), **more,
    )  # fmt: skip


def spending_form(typed: Any = None) -> ExpenseForm:
    return ExpenseForm(
        typed, initial={"on": today()}, about=about_choices(), jobs=job_choices(), auto_id="spent-%s"
    )


def about_choices(keep: str = "") -> list[tuple[str, str]]:
    """Ground and lots that hold wood, and `keep`, which an entry is already for."""
    lots = [
        (f"lot:{row.code}", _("lot {code} {name}").format(code=row.code, name=row.name))
        for row in lot_choices()
    ]
    if keep.startswith("lot:") and keep not in dict(lots):
        lots.append((keep, _("lot {lot}").format(lot=keep.removeprefix("lot:"))))
    return [*((f"unit:{unit_id}", name) for unit_id, name in unit_choices()), *lots]
