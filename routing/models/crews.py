from datetime import time
from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.db.models import F, Q

from routing.core.rigs import HITCH_MINUTES


class Pickup(models.Model):
    """A pickup: pulls one rig at a time, and takes its minutes to change to another."""

    name = models.CharField(max_length=60, unique=True)
    hitch_minutes = models.PositiveSmallIntegerField(default=HITCH_MINUTES)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class Driver(models.Model):
    """Somebody who drives or helps: what an hour costs, the hours they keep, their break."""

    name = models.CharField(max_length=80, unique=True)
    wage_hour = models.DecimalField(  # none: the wage of the rig's running costs
        max_digits=7, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(Decimal(0))]
    )
    starts_at = models.TimeField(default=time(7))  # not before
    ends_at = models.TimeField(default=time(18))  # home by
    longest_minutes = models.PositiveIntegerField(default=600)  # paid, in all runs of a day
    break_minutes = models.PositiveSmallIntegerField(default=0)  # unpaid, once in a run
    break_from = models.TimeField(default=time(11, 30))  # it starts between
    break_to = models.TimeField(default=time(13, 30))
    most_cords = models.DecimalField(  # a day, as the crew can handle; none: no limit
        max_digits=5, decimal_places=2, null=True, blank=True
    )
    works = models.BooleanField(default=True)
    signs_in_as = models.CharField(
        max_length=150, blank=True
    )  # who sees this person's runs first; empty: nobody

    class Meta:
        ordering = ["name"]
        constraints = [
            models.UniqueConstraint(
                fields=["signs_in_as"], condition=~Q(signs_in_as=""), name="one_driver_per_sign_in"
            ),
            models.CheckConstraint(condition=Q(ends_at__gt=F("starts_at")), name="driver_ends_after_start"),
            models.CheckConstraint(
                condition=Q(break_to__gte=F("break_from")), name="driver_break_window_forward"
            ),
        ]

    def __str__(self) -> str:
        return self.name
