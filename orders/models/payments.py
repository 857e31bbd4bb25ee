import uuid

from django.db import models

from inventory.fields import SentenceField
from inventory.models.append_only import LedgerModel


class PaymentKind(models.Model):
    """A way of paying, as data: cash, check, transfer; a card provider plugs in here."""

    key = models.SlugField(unique=True)
    name = models.CharField(max_length=40)
    at_the_door = models.BooleanField(default=True)
    is_offered = models.BooleanField(default=True)
    caution = models.CharField(max_length=200, blank=True)
    instructions = models.CharField(max_length=300, blank=True)  # how to pay ahead this way, for customers
    order_by = models.PositiveSmallIntegerField(default=0)

    class Meta:
        ordering = ["order_by", "name"]

    def __str__(self) -> str:
        return self.name


class Payment(LedgerModel):
    """One line of the money ledger. Signed: what came in is positive, what went back negative."""

    class Kind(models.TextChoices):
        DEPOSIT = "deposit", "deposit"
        PAYMENT = "payment", "payment"
        REFUND = "refund", "refund"
        RETURNED = "returned", "check returned"
        CREDIT = "credit", "credit for short wood"
        UNDONE = "undone", "entered by mistake, undone"

    order = models.ForeignKey("orders.Order", models.PROTECT, related_name="payments")
    kind = models.CharField(max_length=10, choices=Kind)
    method = models.CharField(max_length=20, default="cash")
    dollars = models.DecimalField(max_digits=9, decimal_places=2)
    received_dollars = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    change_dollars = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)
    on = models.DateField(db_index=True)
    made_at = models.DateTimeField()
    who = models.CharField(max_length=80, blank=True)
    note = SentenceField(blank=True)
    key = models.UUIDField(default=uuid.uuid4, unique=True)
    over_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)  # beyond what was due then
    # the check that came back, or the entry that is undone
    reverses = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="reversals")

    class Meta:
        ordering = ["on", "id"]

    def __str__(self) -> str:
        return f"{self.kind} {self.dollars} on order {self.order_id}"
