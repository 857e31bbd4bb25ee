"""Days and months as the reader's language writes them, where the weekday says nothing."""

from datetime import date, datetime
from typing import Any

from django import template
from django.utils import timezone
from django.utils.dateformat import format as date_format
from django.utils.translation import gettext

from inventory.selectors import spoken
from inventory.selectors.spoken import in_small_letters

register = template.Library()


@register.filter
def month_name(on: date) -> str:
    return in_small_letters(date_format(on, "F"))


@register.filter
def month_year(on: date) -> str:
    """ "September 2026", "septiembre de 2026"."""
    return in_small_letters(date_format(on, gettext("F Y")))


@register.filter
def full_date(on: Any) -> str:
    """ "Sep 18, 2026", "18 sep 2026"."""
    return spoken.full_date(_local_day(on)) if on else ""


@register.filter
def month_day(on: Any) -> str:
    """ "Sep 18", "18 sep"."""
    return spoken.month_day(_local_day(on)) if on else ""


def _local_day(on: date) -> date:
    return timezone.localtime(on).date() if isinstance(on, datetime) and timezone.is_aware(on) else on
