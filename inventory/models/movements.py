import uuid

from django.db import models
from django.db.models import Q

from inventory.fields import CordsField, SentenceField
from inventory.models.append_only import LedgerModel


class Movement(LedgerModel):
    """One thing that happened to a lot's amount or state. Signed cords; balances are the sum."""

    class Kind(models.TextChoices):
        FELLED = "felled", "felled"
        BUCKED = "bucked", "bucked"
        HAULED = "hauled", "hauled"
        SPLIT = "split", "split"
        STACKED = "stacked", "stacked"
        MOVED = "moved", "moved"
        SORTED_OUT = "sorted_out", "sorted out"
        MERGED = "merged", "merged"
        MEASURED = "measured", "measured"
        CORRECTED = "corrected", "corrected"
        LOST = "lost", "handling loss"
        SOLD = "sold", "sold"
        OWN_USE = "own_use", "burned at home"
        RETURNED = "returned", "sale undone"

    lot = models.ForeignKey("inventory.Lot", models.PROTECT, related_name="movements")
    kind = models.CharField(max_length=12, choices=Kind)
    cords = CordsField(default=0)
    on = models.DateField(db_index=True)
    made_at = models.DateTimeField()
    who = models.CharField(max_length=80, blank=True)
    note = SentenceField(blank=True)
    reference = models.CharField(max_length=60, blank=True, db_index=True)  # "order 205"
    peer = models.ForeignKey("inventory.Lot", models.PROTECT, null=True, blank=True, related_name="+")
    from_yard = models.ForeignKey("inventory.Yard", models.PROTECT, null=True, blank=True, related_name="+")
    to_yard = models.ForeignKey("inventory.Yard", models.PROTECT, null=True, blank=True, related_name="+")
    miles = models.DecimalField(max_digits=7, decimal_places=1, null=True, blank=True)
    minutes = models.PositiveIntegerField(null=True, blank=True)
    cost_dollars = models.DecimalField(max_digits=8, decimal_places=2, null=True, blank=True)
    logged = models.ForeignKey(  # the sheet that wrote it
        "inventory.LoggedWork", models.PROTECT, null=True, blank=True, related_name="movements"
    )
    key = models.UUIDField(default=uuid.uuid4, unique=True)  # the same act sent twice is one act

    class Meta:
        ordering = ["on", "id"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(kind__in=["sold", "own_use", "lost"]) | Q(cords__lte=0),
                name="movement_going_out_is_negative",
            )
        ]

    def __str__(self) -> str:
        return f"{self.lot_id} {self.kind} {self.cords}"
