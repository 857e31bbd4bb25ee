"""The people who drive and help: their wage, hours and break, and what they can handle."""

from dataclasses import asdict
from datetime import datetime

from django.db import transaction

from inventory.services import audit
from routing.core import RoutingError
from routing.core.drivers import DriverFigures
from routing.models import Driver

MINUTES_PER_HOUR = 60


class NoSuchDriver(RoutingError):
    says = "This person is not in the books any more: choose one from the list."


class SignInTaken(RoutingError):
    says = "{by} signs in as {name} already: choose another sign-in, or take it from {by} first."


class DriverNameTaken(RoutingError):
    says = "There is a {name} already: give this one another name."


@transaction.atomic
def save_driver(*, figures: DriverFigures, at: datetime, who: str, driver_id: int | None = None) -> int:
    """Write somebody who drives or helps; plans made from now on keep to it. Returns the id.

    Errors
        NoSuchDriver, DriverNameTaken, SignInTaken
        ValidationError: a figure a column refuses.
    """
    row = Driver() if driver_id is None else Driver.objects.filter(pk=driver_id).first()
    if row is None:
        raise NoSuchDriver
    if Driver.objects.filter(name=figures.name).exclude(pk=row.pk).exists():
        raise DriverNameTaken(name=figures.name)
    same = Driver.objects.filter(signs_in_as=figures.signs_in_as).exclude(pk=row.pk).first()
    if figures.signs_in_as and same is not None:
        raise SignInTaken(name=figures.signs_in_as, by=same.name)
    typed = asdict(figures)
    row.longest_minutes = round(typed.pop("longest_hours") * MINUTES_PER_HOUR)
    for name, value in typed.items():
        setattr(row, name, value)
    verb = "changed" if row.pk else "added"
    row.full_clean()
    row.save()
    after = {name: str(value) for name, value in asdict(figures).items() if value is not None}
    audit.note(at=at, who=who, verb=verb, thing=f"driver {row.name}"[:40], after=after)
    return row.pk
