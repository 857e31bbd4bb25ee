from django.db import models

from inventory.fields import CordsField


class Ticket(models.Model):
    """The delivery ticket as given: every field frozen on the day."""

    order = models.OneToOneField("orders.Order", models.PROTECT, related_name="ticket")
    number = models.PositiveIntegerField(unique=True)
    delivered_on = models.DateField()
    cords = CordsField()
    loaded_ft3 = models.DecimalField(max_digits=7, decimal_places=2, null=True, blank=True)
    fields = models.JSONField()  # orders.core.tickets.Ticket as a mapping
    made_at = models.DateTimeField()

    class Meta:
        ordering = ["-number"]

    def __str__(self) -> str:
        return f"ticket {self.number}"
