import uuid

from django.db import models


class Claim(models.Model):
    """What the customer says was wrong, with what they measured, and what we did about it."""

    class Kind(models.TextChoices):
        SHORT = "short", "short of wood"
        WET = "wet", "not dry"
        LATE = "late", "late"
        DAMAGE = "damage", "damage at the drop"
        OTHER_WOOD = "other_wood", "not the wood that was ordered"
        OTHER = "other", "something else"

    class State(models.TextChoices):
        OPEN = "open", "open"
        CREDITED = "credited", "credited"
        BROUGHT = "brought", "more wood brought"
        ANSWERED = "answered", "answered"

    order = models.ForeignKey("orders.Order", models.PROTECT, related_name="claims")
    key = models.UUIDField(default=uuid.uuid4, unique=True)
    kind = models.CharField(max_length=10, choices=Kind)
    state = models.CharField(max_length=10, choices=State, default=State.OPEN)
    on = models.DateField()
    length_ft = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    height_ft = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    depth_in = models.DecimalField(max_digits=6, decimal_places=2, null=True, blank=True)
    readings = models.JSONField(default=list, blank=True)
    basis = models.CharField(max_length=3, blank=True)
    message = models.CharField(max_length=500, blank=True)
    result = models.JSONField(default=dict, blank=True)  # shortfall, credit, ft3 to bring
    brought_by = models.OneToOneField(  # the order that brings what was short
        "orders.Order", models.PROTECT, null=True, blank=True, related_name="makes_good"
    )
    answer = models.CharField(max_length=500, blank=True)
    made_at = models.DateTimeField()
    ended_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["-made_at"]

    def __str__(self) -> str:
        return f"{self.kind} claim on order {self.order_id}"
