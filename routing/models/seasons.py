from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from inventory.fields import CordsField


class BroughtForward(models.Model):
    """A month's totals from before the books began, so that a season can be read whole."""

    month = models.DateField(unique=True)  # its first day
    covers_until = models.DateField(null=True, blank=True)  # its last day counted; empty = the month's end
    label = models.CharField(max_length=80, blank=True)
    cords = CordsField()
    revenue = models.DecimalField(max_digits=10, decimal_places=2)
    miles = models.DecimalField(max_digits=8, decimal_places=1)
    delivery_hours = models.DecimalField(max_digits=7, decimal_places=2)
    yard_hours = models.DecimalField(max_digits=7, decimal_places=2)
    cash_out = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))

    class Meta:
        ordering = ["month"]

    def __str__(self) -> str:
        return f"{self.month:%b %Y}"


def _hours() -> models.DecimalField:
    """Hours a week; empty = as last year."""
    return models.DecimalField(
        max_digits=5, decimal_places=1, null=True, blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(168)],
    )  # fmt: skip


def _cords_a_month() -> models.DecimalField:
    """Cords that could be sold in a month of the year's mean; empty = as last year."""
    return models.DecimalField(
        max_digits=6, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(1000)],
    )  # fmt: skip


class SeasonGuesses(models.Model):
    """What the seller guesses about the season ahead: one row. Quarters run from October."""

    fall_hours = _hours()
    winter_hours = _hours()
    spring_hours = _hours()
    summer_hours = _hours()
    helper_fall_hours = _hours()
    helper_winter_hours = _hours()
    helper_spring_hours = _hours()
    helper_summer_hours = _hours()
    helper_name = models.CharField(max_length=40, blank=True)  # empty = helper
    saws = models.BooleanField(default=True)  # whether the seller fells and bucks
    drives = models.BooleanField(default=True)  # hauls, moves wood and delivers
    helper_saws = models.BooleanField(default=False)
    helper_drives = models.BooleanField(default=True)
    until_month = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )  # planned to the end of this month; empty = a year
    near_cords_a_month = _cords_a_month()
    far_cords_a_month = _cords_a_month()
    far_trips_a_month = models.PositiveSmallIntegerField(default=2, validators=[MaxValueValidator(60)])
    rig_days_a_week = models.PositiveSmallIntegerField(
        null=True, blank=True, validators=[MaxValueValidator(70)]
    )  # empty = six for each rig that can be out at once
    near_cords_a_day = models.DecimalField(
        max_digits=5,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )  # what a rig delivers near in a day; empty = by the drive
    demand_low_pct = models.PositiveSmallIntegerField(default=60)  # of last year's sales
    demand_likely_pct = models.PositiveSmallIntegerField(default=100)
    demand_high_pct = models.PositiveSmallIntegerField(default=140)
    hour_worth_dollars = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(0))
    dry_chance_pct = models.PositiveSmallIntegerField(
        default=80, validators=[MinValueValidator(50), MaxValueValidator(99)]
    )  # how sure wood must be to be sold as seasoned
    lost_pct = models.PositiveSmallIntegerField(
        default=0, validators=[MaxValueValidator(90)]
    )  # sales lost where prices go up 10 %; 0 = not asked
    cash_dollars = models.DecimalField(
        max_digits=9, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )  # in hand for the wood; empty = not counted
    bills = models.TextField(blank=True, max_length=2000)  # routing.season.bills reads its lines

    class Meta:
        verbose_name_plural = "season guesses"

    def __str__(self) -> str:
        return "the season ahead"


class SeasonOutlook(models.Model):
    """The season planner's answer of a week, kept so that next week can be held against it."""

    week_on = models.DateField(unique=True)  # the day it was planned from
    made_at = models.DateTimeField()
    answer = models.JSONField()

    class Meta:
        ordering = ["-week_on"]

    def __str__(self) -> str:
        return f"season seen from {self.week_on}"
