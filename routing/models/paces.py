from django.db import models


class LearnedPace(models.Model):
    """What the phones' taps taught of one yard, customer or rig, or of all; renewed each morning.

    Percent of the time that the yard's page, the rule of thumb or the road engine gives.
    """

    class Kind(models.TextChoices):
        LOAD = "load", "loading"
        UNLOAD = "unload", "unloading"
        DRIVE = "drive", "driving"

    kind = models.CharField(max_length=6, choices=Kind)
    # at most one of these; none: all of the kind
    yard = models.ForeignKey("inventory.Yard", models.CASCADE, null=True, blank=True, related_name="+")
    customer = models.ForeignKey("orders.Customer", models.CASCADE, null=True, blank=True, related_name="+")
    rig = models.ForeignKey("routing.Rig", models.CASCADE, null=True, blank=True, related_name="paces")
    road_class = models.CharField(max_length=7, blank=True)  # of a rig's drives: slow, country, fast
    percent = models.PositiveSmallIntegerField(default=100)
    low_percent = models.PositiveSmallIntegerField(default=100)
    high_percent = models.PositiveSmallIntegerField(default=100)
    count = models.PositiveIntegerField(default=0)  # taps it rests on
    is_used = models.BooleanField(default=True)  # plans and prices go by it
    learned_on = models.DateField()

    class Meta:
        ordering = ["kind", "-count", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(percent__gte=50, percent__lte=200), name="learned_pace_within_reason"
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.percent}%"
