import uuid

from django.db import models

from inventory.fields import CordsField


class WaitingEntry(models.Model):
    """Somebody who wants to be told when a wood can be had; told once, then done."""

    key = models.UUIDField(default=uuid.uuid4, unique=True)  # the same form sent twice is one entry
    customer = models.ForeignKey("orders.Customer", models.CASCADE, related_name="waiting_entries")
    wood = models.CharField(max_length=20, blank=True)  # empty: any wood that is dry
    dryness = models.CharField(max_length=10, default="seasoned")
    cords = CordsField(default=0)  # 0: any amount
    asked_at = models.DateTimeField()
    told_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["asked_at", "id"]
        verbose_name_plural = "waiting entries"

    def __str__(self) -> str:
        return f"{self.customer_id} waits for {self.dryness} {self.wood}"
