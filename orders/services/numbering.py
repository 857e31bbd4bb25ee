"""The next number of a series, given out once however many ask at the same moment."""

from django.db.models import F, Max, Model

from orders.models import Numbering


def next_number(*, series: str, of: type[Model]) -> int:
    """The next free number; call it inside the transaction that uses it.

    Raising the series' own row first makes others wait for this transaction on every database.
    """
    if not Numbering.objects.filter(series=series).update(last=F("last") + 1):
        Numbering.objects.get_or_create(series=series)
        Numbering.objects.filter(series=series).update(last=F("last") + 1)
    counted = Numbering.objects.get(series=series).last
    used = of._default_manager.aggregate(most=Max("number"))["most"] or 0
    if used >= counted:
        counted = used + 1
        Numbering.objects.filter(series=series).update(last=counted)
    return counted
