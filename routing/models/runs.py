from django.db import models
from django.utils.translation import gettext_lazy as _

from inventory.fields import CordsField


class Run(models.Model):
    """One rig's day: from home to home."""

    day = models.ForeignKey("routing.Day", models.CASCADE, related_name="runs")
    rig = models.ForeignKey("routing.Rig", models.PROTECT, related_name="runs")
    driver = models.ForeignKey("routing.Driver", models.PROTECT, null=True, blank=True, related_name="runs")
    helper = models.ForeignKey(
        "routing.Driver", models.PROTECT, null=True, blank=True, related_name="helped_runs"
    )
    starts_at = models.TimeField(default="07:00")  # not before
    ends_at = models.TimeField(default="18:00")  # home by
    longest_minutes = models.PositiveIntegerField(default=600)
    leaves_at = models.TimeField(null=True, blank=True)  # as planned
    pause_at = models.TimeField(null=True, blank=True)  # when the break begins; none: no break
    pause_seconds = models.PositiveIntegerField(default=0)
    home_at = models.TimeField(null=True, blank=True)
    loaded_meters = models.PositiveIntegerField(default=0)
    empty_meters = models.PositiveIntegerField(default=0)
    paid_seconds = models.PositiveIntegerField(default=0)
    cost_cents = models.BigIntegerField(default=0)
    is_frozen = models.BooleanField(default=False)  # the planner leaves it as it is
    actual_leave_at = models.DateTimeField(null=True, blank=True)
    actual_home_at = models.DateTimeField(null=True, blank=True)
    actual_loaded_miles = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    actual_empty_miles = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)

    class Meta:
        ordering = ["day", "rig"]
        constraints = [models.UniqueConstraint(fields=["day", "rig"], name="one_run_per_rig_and_day")]

    def __str__(self) -> str:
        return f"{self.rig_id} on {self.day_id}"

    @property
    def driver_name(self) -> str:
        """Who drives, if anybody is named."""
        return self.driver.name if self.driver else ""


class Load(models.Model):
    """One load of a rig: filled at its yard, now and then at further ones (`Fill`)."""

    run = models.ForeignKey(Run, models.CASCADE, related_name="loads")
    sequence = models.PositiveSmallIntegerField()
    yard = models.ForeignKey("inventory.Yard", models.PROTECT, related_name="loads")
    cords = CordsField(default=0)
    loose_ft3 = models.DecimalField(max_digits=7, decimal_places=2, default=0)
    weight_lb = models.PositiveIntegerField(default=0)
    arrive_at = models.TimeField(null=True, blank=True)
    begin_at = models.TimeField(null=True, blank=True)
    leave_at = models.TimeField(null=True, blank=True)
    leg_meters = models.PositiveIntegerField(default=0)  # to the yard, empty
    leg_seconds = models.PositiveIntegerField(default=0)
    load_percent = models.PositiveSmallIntegerField(default=100)  # learned pace its loading was planned by
    ticks = models.JSONField(default=list, blank=True)  # tarp, straps, chains... as ticked

    class Meta:
        ordering = ["run", "sequence"]
        constraints = [models.UniqueConstraint(fields=["run", "sequence"], name="one_load_per_place_in_run")]

    def __str__(self) -> str:
        return f"load {self.sequence} of run {self.run_id}"


class Fill(models.Model):
    """A further yard at which a load is filled, after its first: the drops whose wood is taken there."""

    load = models.ForeignKey(Load, models.CASCADE, related_name="more_fills")
    sequence = models.PositiveSmallIntegerField()  # 2 is the second yard
    yard = models.ForeignKey("inventory.Yard", models.PROTECT, related_name="fills")
    arrive_at = models.TimeField(null=True, blank=True)
    begin_at = models.TimeField(null=True, blank=True)
    leave_at = models.TimeField(null=True, blank=True)
    leg_meters = models.PositiveIntegerField(default=0)  # to the yard, loaded
    leg_seconds = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ["load", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["load", "sequence"], name="one_fill_per_place_in_load")
        ]

    def __str__(self) -> str:
        return f"fill {self.sequence} of load {self.load_id}"


class Stop(models.Model):
    """A drop of a load: an order, or a part of one, at a customer's place."""

    class State(models.TextChoices):
        PLANNED = "planned", _("planned")
        ARRIVED = "arrived", _("arrived")
        DELIVERED = "delivered", _("delivered")
        NO_SHOW = "no_show", _("nobody there")
        TROUBLE = "trouble", _("trouble")

    load = models.ForeignKey(Load, models.CASCADE, related_name="stops")
    sequence = models.PositiveSmallIntegerField()
    fill = models.ForeignKey(  # none: its wood is taken at the load's first yard
        Fill, models.SET_NULL, null=True, blank=True, related_name="stops"
    )
    order = models.ForeignKey("orders.Order", models.PROTECT, related_name="stops")
    part = models.PositiveSmallIntegerField(default=1)
    cords = CordsField(default=0)
    bundles = models.PositiveIntegerField(default=0)
    bed_bundles = models.PositiveIntegerField(default=0)  # of them in the pickup's bed beside the trailer
    lot = models.ForeignKey("inventory.Lot", models.PROTECT, null=True, blank=True, related_name="stops")
    back_lot = models.ForeignKey(  # where its wood lies since it came home; none: nobody said yet
        "inventory.Lot", models.PROTECT, null=True, blank=True, related_name="+"
    )
    pinned = models.BooleanField(default=False)
    arrive_at = models.TimeField(null=True, blank=True)
    begin_at = models.TimeField(null=True, blank=True)
    leave_at = models.TimeField(null=True, blank=True)
    leg_meters = models.PositiveIntegerField(default=0)
    leg_seconds = models.PositiveIntegerField(default=0)
    unload_seconds = models.PositiveIntegerField(default=0)
    unload_percent = models.PositiveSmallIntegerField(default=100)  # learned pace it was planned by
    drive_percent = models.PositiveSmallIntegerField(default=100)
    state = models.CharField(max_length=10, choices=State, default=State.PLANNED)
    done_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["load", "sequence"]
        constraints = [
            models.UniqueConstraint(fields=["load", "sequence"], name="one_stop_per_place_in_load"),
            models.UniqueConstraint(fields=["load", "order", "part"], name="one_stop_per_order_part"),
        ]

    def __str__(self) -> str:
        return f"stop {self.sequence} of load {self.load_id}"
