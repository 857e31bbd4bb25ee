from decimal import Decimal

from django.db import models
from django.db.models import F, Q


class Unit(models.Model):
    """A patch of ground being thinned, and what its cost-share program asks for."""

    name = models.CharField(max_length=80, unique=True)
    acres = models.DecimalField(max_digits=7, decimal_places=2)
    started_on = models.DateField(null=True, blank=True)
    finished_on = models.DateField(null=True, blank=True)
    notified_on = models.DateField(null=True, blank=True)
    saw_log_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=Decimal(0))
    cost_share_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=Decimal(0))
    cost_share_approved_on = models.DateField(null=True, blank=True)
    cost_share_paid_on = models.DateField(null=True, blank=True)
    hire_out_low = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)  # $ per acre
    hire_out_high = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    slash = models.CharField(max_length=200, blank=True)
    # what was sold from it before the books began: {"fir": {"cords": "7", "dollars": "..."}}
    sold_before = models.JSONField(default=dict, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [models.CheckConstraint(condition=Q(acres__gt=0), name="unit_has_ground")]

    def __str__(self) -> str:
        return self.name


class WorkEntry(models.Model):
    """Hours by job, as remembered: low, likely, high."""

    class Job(models.TextChoices):
        FELL_BUCK = "rounds", "felling and bucking to rounds"
        HAUL = "haul", "hauling rounds"
        SPLIT = "split", "splitting"
        HEAP = "heap", "sorting, stacking, heaping"
        SLASH = "slash", "slash"
        DELIVER = "deliver", "delivering"
        PAPER = "paper", "paper and phone"
        UPKEEP = "upkeep", "saws, splitter, truck"

    on = models.DateField(db_index=True)
    job = models.CharField(max_length=10, choices=Job)
    hours_low = models.DecimalField(max_digits=6, decimal_places=2)
    hours_likely = models.DecimalField(max_digits=6, decimal_places=2)
    hours_high = models.DecimalField(max_digits=6, decimal_places=2)
    lot = models.ForeignKey("inventory.Lot", models.SET_NULL, null=True, blank=True, related_name="work")
    unit = models.ForeignKey(Unit, models.SET_NULL, null=True, blank=True, related_name="work")
    cords = models.CharField(max_length=20, blank=True)  # how much was made, as typed
    who = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]
        verbose_name_plural = "work entries"
        constraints = [
            models.CheckConstraint(
                condition=Q(hours_low__gte=0)
                & Q(hours_low__lte=F("hours_likely"))
                & Q(hours_likely__lte=F("hours_high")),
                name="work_hours_in_order",
            )
        ]

    def __str__(self) -> str:
        return f"{self.on} {self.job} {self.hours_likely} h"


class Expense(models.Model):
    """Money out: per cord, per mile or per year."""

    class Kind(models.TextChoices):
        CORD = "cord", "by the cord"
        MILE = "mile", "by the mile"
        YEAR = "year", "by the year"

    on = models.DateField(db_index=True)
    line = models.CharField(max_length=60)
    dollars = models.DecimalField(max_digits=9, decimal_places=2)
    kind = models.CharField(max_length=4, choices=Kind)
    lot = models.ForeignKey("inventory.Lot", models.SET_NULL, null=True, blank=True, related_name="expenses")
    unit = models.ForeignKey(Unit, models.SET_NULL, null=True, blank=True, related_name="expenses")
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return f"{self.on} {self.line} {self.dollars}"


class Photo(models.Model):
    """A photo re-encoded and stripped of location, tied to a lot, a unit, a drop or a claim by name."""

    about = models.CharField(max_length=60, db_index=True)  # "lot K1", "order 203", "unit Knob"
    purpose = models.CharField(max_length=40)  # before, after, load, drop, claim, reading
    taken_on = models.DateField()
    file = models.ImageField(upload_to="photos/%Y/%m")
    note = models.CharField(max_length=200, blank=True)
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.purpose} of {self.about}"
