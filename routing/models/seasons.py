from decimal import Decimal

from django.db import models

from inventory.fields import CordsField


class BroughtForward(models.Model):
    """A month's totals from before the books began, so that a season can be read whole."""

    month = models.DateField(unique=True)  # its first day
    covers_until = models.DateField(null=True, blank=True)  # its last day counted; empty = the month's end
    label = models.CharField(max_length=80, blank=True)
    cords = CordsField()
    revenue = models.DecimalField(max_digits=10, decimal_places=2)
    miles = models.DecimalField(max_digits=8, decimal_places=1)
    delivery_hours = models.DecimalField(max_digits=7, decimal_places=2)
    yard_hours = models.DecimalField(max_digits=7, decimal_places=2)
    cash_out = models.DecimalField(max_digits=10, decimal_places=2, default=Decimal(0))

    class Meta:
        ordering = ["month"]

    def __str__(self) -> str:
        return f"{self.month:%b %Y}"
