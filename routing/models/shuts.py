from django.db import models
from django.db.models import F, Q


class Shut(models.Model):
    """A yard, a road or the saw hours closed for a time, and why."""

    class Kind(models.TextChoices):
        YARD = "yard", "yard"
        ROAD = "road", "road"
        SAW = "saw", "saw hours"
        BURN = "burn", "burning"
        WINDOW = "open", "burning allowed"
        OFF = "off", "no work"
        CHAIN = "chain", "chains required"

    kind = models.CharField(max_length=5, choices=Kind)
    yard = models.ForeignKey("inventory.Yard", models.CASCADE, null=True, blank=True, related_name="shuts")
    town = models.ForeignKey("orders.Town", models.CASCADE, null=True, blank=True, related_name="shuts")
    what = models.CharField(max_length=120, blank=True)
    from_on = models.DateField()
    to_on = models.DateField()
    from_time = models.TimeField(null=True, blank=True)
    to_time = models.TimeField(null=True, blank=True)
    reason = models.CharField(max_length=200)

    class Meta:
        ordering = ["-from_on"]
        constraints = [
            models.CheckConstraint(condition=Q(from_on__lte=F("to_on")), name="shut_days_in_order")
        ]

    def __str__(self) -> str:
        return f"{self.kind} shut {self.from_on}: {self.reason}"


class RoadLimit(models.Model):
    """A posted limit worth saying on the load card: the map holds it for the engine as well."""

    name = models.CharField(max_length=120, unique=True)
    whole_rig_lb = models.PositiveIntegerField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)
    lat = models.FloatField(null=True, blank=True)
    lon = models.FloatField(null=True, blank=True)

    def __str__(self) -> str:
        return self.name


class RoadMark(models.Model):
    """A road the seller takes though the map would not, or avoids; named by a spot on it."""

    class Kind(models.TextChoices):
        TAKE = "take", "we take it"
        AVOID = "avoid", "we avoid it"

    road = models.CharField(max_length=200)
    kind = models.CharField(max_length=5, choices=Kind)
    lat = models.FloatField()
    lon = models.FloatField()

    class Meta:
        ordering = ["road"]
        constraints = [models.UniqueConstraint(fields=["road"], name="one_mark_a_road")]

    def __str__(self) -> str:
        return f"{self.road}: {self.get_kind_display()}"
