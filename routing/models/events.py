import uuid

from django.db import models


class DriverEvent(models.Model):
    """What a driver's phone said happened, kept under the phone's own key so that it counts once."""

    class Outcome(models.TextChoices):
        APPLIED = "applied", "applied"
        CONFLICT = "conflict", "kept, needs a look"

    key = models.UUIDField(primary_key=True, default=uuid.uuid4)
    kind = models.CharField(
        max_length=20
    )  # left, loaded, arrived, delivered, paid, put_back ...: effects.APPLY
    stop = models.ForeignKey("routing.Stop", models.SET_NULL, null=True, blank=True, related_name="events")
    load = models.ForeignKey("routing.Load", models.SET_NULL, null=True, blank=True, related_name="events")
    order = models.ForeignKey("orders.Order", models.SET_NULL, null=True, blank=True, related_name="events")
    run = models.ForeignKey("routing.Run", models.SET_NULL, null=True, blank=True, related_name="events")
    input = models.JSONField(default=dict)
    happened_at = models.DateTimeField()
    received_at = models.DateTimeField()
    who = models.CharField(max_length=80, blank=True)
    outcome = models.CharField(max_length=8, choices=Outcome)
    message = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["received_at"]

    def __str__(self) -> str:
        return f"{self.kind} {self.key}"
