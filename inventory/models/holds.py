from django.db import models
from django.db.models import Q

from inventory.fields import CordsField


class Hold(models.Model):
    """Wood of one lot promised to somebody: firm, or soft with a lapse date."""

    class Kind(models.TextChoices):
        FIRM = "firm", "firm"
        SOFT = "soft", "soft"

    class State(models.TextChoices):
        STANDING = "standing", "standing"
        RELEASED = "released", "released"
        DRAWN = "drawn", "drawn"

    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="holds")
    cords = CordsField()
    kind = models.CharField(max_length=4, choices=Kind)
    state = models.CharField(max_length=8, choices=State, default=State.STANDING)
    reference = models.CharField(max_length=60, db_index=True)  # "order 205"; orders owns the link
    lapses_on = models.DateField(null=True, blank=True)
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["made_at", "id"]
        constraints = [
            models.CheckConstraint(condition=Q(cords__gt=0), name="hold_of_some_wood"),
        ]
        indexes = [models.Index(fields=["lot", "state"], name="hold_by_lot_and_state")]

    def __str__(self) -> str:
        return f"{self.kind} {self.cords} of {self.lot_id} for {self.reference}"
