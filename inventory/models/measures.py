from django.db import models
from django.db.models import F, Q

from inventory.fields import CordsField
from inventory.models.append_only import LedgerModel


class Measurement(LedgerModel):
    """A heap, stack or trailer measured: the numbers typed and the cords they gave."""

    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="measurements")
    on = models.DateField()
    shape = models.CharField(max_length=20)  # stack, windrow, cone, trailer, deck
    form = models.CharField(max_length=20)  # splits, rounds, splits_24, stacked...
    sizes = models.JSONField()  # feet, by name, as typed
    low_cords = CordsField()
    likely_cords = CordsField()
    high_cords = CordsField()
    solid_ft3 = models.DecimalField(max_digits=10, decimal_places=2)
    is_added = models.BooleanField(default=False)  # came on top of what lay there; else it is all of it
    who = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return f"{self.lot_id} {self.shape} on {self.on}"


class Reading(LedgerModel):
    """Moisture read on fresh faces; percent as read, with the meter's basis."""

    class Basis(models.TextChoices):
        DRY = "dry", "dry basis (most pin meters)"
        WET = "wet", "wet basis (share of total weight)"

    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="readings")
    on = models.DateField()
    faces = models.JSONField()  # percents as read, one to nine
    basis = models.CharField(max_length=3, choices=Basis)
    worst_dry_pct = models.DecimalField(max_digits=5, decimal_places=1)
    mean_dry_pct = models.DecimalField(max_digits=5, decimal_places=1)
    is_fresh_split = models.BooleanField(default=True)
    # what the forecast said of this day before it was read, % dry basis: empty for copies and first days
    forecast_low_pct = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    forecast_likely_pct = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    forecast_high_pct = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    who = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return f"{self.lot_id} {self.faces} on {self.on}"


class DrySign(LedgerModel):
    """How dry a lot seemed without a meter: its ends, its sound, or a marked piece weighed again."""

    class How(models.TextChoices):
        ENDS_WHOLE = "ends_whole", "cut ends without cracks"
        ENDS_FINE = "ends_fine", "fine cracks at the cut ends"
        ENDS_MIDDLE = "ends_middle", "cut ends cracked from the middle"
        THUDS = "thuds", "pieces thud"
        DULL = "dull", "pieces neither thud nor ring"
        RINGS = "rings", "pieces ring"
        WEIGHED = "weighed", "a marked piece weighed"

    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="signs")
    on = models.DateField()
    how = models.CharField(max_length=12, choices=How)
    low_dry_pct = models.DecimalField(max_digits=5, decimal_places=1)
    likely_dry_pct = models.DecimalField(max_digits=5, decimal_places=1)
    high_dry_pct = models.DecimalField(max_digits=5, decimal_places=1)
    now_lb = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    then_lb = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    then_on = models.DateField(null=True, blank=True)
    who = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]

    def __str__(self) -> str:
        return f"{self.lot_id} {self.how} on {self.on}"


class ScaleTicket(LedgerModel):
    """A load of one lot over a scale: teaches what a cord of this wood weighs, green or dry."""

    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="scale_tickets")
    on = models.DateField()
    gross_lb = models.PositiveIntegerField()
    tare_lb = models.PositiveIntegerField()
    cords = CordsField()
    mix = models.JSONField()  # the lot's, that day
    is_green = models.BooleanField()  # not read below fiber saturation by then
    who = models.CharField(max_length=80, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-on", "-id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(gross_lb__gt=F("tare_lb"), cords__gt=0), name="scale_ticket_of_some_wood"
            )
        ]

    def __str__(self) -> str:
        return f"{self.lot_id} {self.gross_lb} - {self.tare_lb} lb on {self.on}"


class Restack(LedgerModel):
    """A loose load that somebody stacked and measured: teaches the rig's heap number."""

    on = models.DateField()
    rig_name = models.CharField(max_length=80)
    form = models.CharField(max_length=20)  # splits, rounds, splits_24
    loose_ft3 = models.DecimalField(max_digits=7, decimal_places=2)
    stacked_ft3 = models.DecimalField(max_digits=7, decimal_places=2)
    reference = models.CharField(max_length=60, blank=True)
    note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=Q(loose_ft3__gt=0, stacked_ft3__gt=0), name="restack_of_some_wood"
            )
        ]

    def __str__(self) -> str:
        return f"{self.rig_name} {self.form} {self.loose_ft3} -> {self.stacked_ft3}"
