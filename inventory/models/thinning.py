import uuid
from decimal import Decimal

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models import F, Q
from django.utils.translation import get_language

from inventory.core.hours import Hours
from inventory.core.sentences import ENGLISH
from inventory.core.stand import BadPlots, StandEstimate, stand_estimate


class Unit(models.Model):
    """A patch of ground being thinned, and what its cost-share program asks for."""

    class Slash(models.TextChoices):
        SCATTER = "scatter", "lop and scatter"
        BURN = "burn", "pile and burn"
        CHIP = "chip", "chip or grind"
        HAUL = "haul", "haul away"

    name = models.CharField(max_length=80, unique=True)
    premises = models.CharField(
        max_length=200, blank=True
    )  # for papers: street, tax account, legal description
    acres = models.DecimalField(max_digits=7, decimal_places=2)
    acres_left = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)  # not yet thinned
    started_on = models.DateField(null=True, blank=True)
    finished_on = models.DateField(null=True, blank=True)
    notified_on = models.DateField(null=True, blank=True)
    saw_log_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=Decimal(0))
    cost_share_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=Decimal(0))
    cost_share_approved_on = models.DateField(null=True, blank=True)
    cost_share_until = models.DateField(null=True, blank=True)  # thinned and slash done by then, or none
    cost_share_paid_on = models.DateField(null=True, blank=True)
    hire_out_low = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)  # $ per acre
    hire_out_high = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    slash = models.CharField(max_length=200, blank=True)  # in words
    slash_method = models.CharField(max_length=10, choices=Slash, blank=True)
    slash_by = models.DateField(null=True, blank=True)  # gone by then
    slash_done_on = models.DateField(null=True, blank=True)
    plot_size = models.CharField(max_length=20, blank=True)  # inventory.core.stand reads both
    plots = models.TextField(blank=True, max_length=4000)  # trees to cut, a plot a line
    # what was sold from it before the books began: {"fir": {"cords": "7", "dollars": "..."}}
    sold_before = models.JSONField(default=dict, blank=True)
    note = models.TextField(blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [models.CheckConstraint(condition=Q(acres__gt=0), name="unit_has_ground")]

    def __str__(self) -> str:
        return self.name

    @property
    def acres_to_thin(self) -> Decimal:
        """Acres not yet thinned: as typed, else all before the work starts and none after."""
        if self.acres_left is not None:
            return min(self.acres_left, self.acres)
        return Decimal(0) if self.started_on else self.acres

    @property
    def counted(self) -> StandEstimate | None:
        """Cords an acre from the trees counted on plots; None when none were."""
        return stand_estimate(self.plot_size, self.plots) if self.plots.strip() else None

    def clean(self) -> None:
        try:
            _ = self.counted
        except BadPlots as problem:
            raise ValidationError({"plots": problem.text_in(get_language() or ENGLISH)}) from problem


class LoggedWork(models.Model):
    """One sheet of work as it was logged, under the phone's own key so that it counts once.

    What it wrote, and how the lot was before, so that it can be taken back.
    """

    key = models.UUIDField(primary_key=True, default=uuid.uuid4)
    on = models.DateField(db_index=True)
    made_at = models.DateTimeField()
    who = models.CharField(max_length=80, blank=True)
    text = models.CharField(max_length=300)  # what it says, in English
    # {"steps", "lot", "cords", "hours", "people"}, to be worded; empty on sheets of earlier days
    said = models.JSONField(default=dict, blank=True)
    lot = models.ForeignKey("inventory.Lot", models.SET_NULL, null=True, blank=True, related_name="+")
    photo = models.ForeignKey("inventory.Photo", models.SET_NULL, null=True, blank=True, related_name="+")
    # {"lot", "opened", "added", "part", "part_cords", "before": {column: value}, "after": {...}}
    undo = models.JSONField(default=dict, blank=True)
    taken_back_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-on", "-made_at"]
        verbose_name_plural = "logged work"

    def __str__(self) -> str:
        return f"{self.on} {self.text}"


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
    logged = models.ForeignKey(LoggedWork, models.SET_NULL, null=True, blank=True, related_name="entries")
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

    @property
    def hours(self) -> Hours:
        return Hours(low=self.hours_low, likely=self.hours_likely, high=self.hours_high)


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
    job = models.CharField(max_length=10, choices=WorkEntry.Job, blank=True)  # the work it paid for
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
