from django.db import models

from inventory.fields import SentenceField
from inventory.models.append_only import LedgerModel


class AuditEntry(LedgerModel):
    """Who changed a price, a lot or an order, when, from what to what."""

    at = models.DateTimeField(db_index=True)
    who = models.CharField(max_length=80)  # user name, "customer" or "system"
    verb = models.CharField(max_length=40)  # "confirmed", "moved", "repriced"
    thing = models.CharField(max_length=40, db_index=True)  # "order 205", "lot K1"
    note = SentenceField(blank=True)
    before = models.JSONField(default=dict, blank=True)
    after = models.JSONField(default=dict, blank=True)

    class Meta:
        ordering = ["-at", "-id"]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.who} {self.verb} {self.thing}"
