from django.db import models
from django.db.models import Q

from inventory.fields import CordsField


class Ticket(models.Model):
    """A delivery ticket as given: every field frozen on the day. One that was wrong stands, with the one that
    replaces it beside it."""

    order = models.ForeignKey("orders.Order", models.PROTECT, related_name="tickets")
    number = models.PositiveIntegerField(unique=True)
    replaces = models.OneToOneField("self", models.PROTECT, null=True, blank=True, related_name="replaced_by")
    delivered_on = models.DateField()
    cords = CordsField()
    loaded_ft3 = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    fields = models.JSONField()  # orders.core.tickets.Ticket as a mapping
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.UniqueConstraint(
                fields=["order"], condition=Q(replaces__isnull=True), name="one_first_ticket_per_order"
            ),
        ]

    def __str__(self) -> str:
        return f"ticket {self.number}"
