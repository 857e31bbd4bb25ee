import uuid
from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from inventory.core.references import order_reference
from inventory.fields import CordsField, SentenceField
from orders.models.tickets import Ticket


class Order(models.Model):
    """A promise: this wood, to this person, for this money."""

    class State(models.TextChoices):
        ASKED = "asked", "asked for"
        CONFIRMED = "confirmed", "confirmed"
        PLANNED = "planned", "day set"
        DELIVERED = "delivered", "delivered"
        SETTLED = "settled", "settled"
        DECLINED = "declined", "declined"
        CANCELLED = "cancelled", "cancelled"

    class How(models.TextChoices):
        DELIVERED = "delivered", "delivered"
        PICK_UP = "pick_up", "picked up at the yard"

    number = models.PositiveIntegerField(unique=True)
    key = models.UUIDField(default=uuid.uuid4, unique=True)  # the same order sent twice is one order
    link_secret = models.UUIDField(default=uuid.uuid4, unique=True)  # changes when links are revoked
    customer = models.ForeignKey("orders.Customer", models.PROTECT, related_name="orders")
    place = models.ForeignKey("orders.Place", models.PROTECT, null=True, blank=True, related_name="orders")
    quote = models.ForeignKey("orders.Quote", models.PROTECT, null=True, blank=True, related_name="orders")
    market = models.ForeignKey("orders.Market", models.PROTECT, related_name="orders")
    neighbor = models.ForeignKey(  # whose drop and drive it shares: the first of the two
        "self", models.PROTECT, null=True, blank=True, related_name="joined_by"
    )
    state = models.CharField(max_length=10, choices=State, default=State.ASKED, db_index=True)
    wood = models.CharField(max_length=20)
    dryness = models.CharField(max_length=10)
    cords = CordsField(default=0)
    bundles = models.PositiveIntegerField(default=0)
    how = models.CharField(max_length=10, choices=How, default=How.DELIVERED)
    stacked = models.BooleanField(default=False)
    small_rig_only = models.BooleanField(default=False)
    total_dollars = models.DecimalField(max_digits=9, decimal_places=2)
    wood_dollars = models.DecimalField(max_digits=9, decimal_places=2)
    drive_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    tax_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    kept_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)  # of one that ended
    deposit_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    reasons = models.JSONField(default=list, blank=True)
    pay_how = models.CharField(max_length=20, default="cash")
    first_on = models.DateField()  # the days that suit the customer
    last_on = models.DateField()
    window_from = models.TimeField(default="08:00")
    window_to = models.TimeField(default="18:00")
    promised_on = models.DateField(null=True, blank=True, db_index=True)
    comes_from = models.TimeField(null=True, blank=True)  # the hours told to the customer for that day
    comes_to = models.TimeField(null=True, blank=True)
    on_the_way_at = models.DateTimeField(null=True, blank=True)
    is_pool = models.BooleanField(default=False)  # far order waiting to share a load
    waits_until = models.DateField(null=True, blank=True)
    asked_at = models.DateTimeField()
    asked_on = models.DateField(db_index=True)
    confirmed_at = models.DateTimeField(null=True, blank=True)
    delivered_on = models.DateField(null=True, blank=True, db_index=True)
    delivered_cords = CordsField(null=True, blank=True)
    ended_reason = SentenceField(blank=True)
    note = models.CharField(max_length=300, blank=True)  # from the customer
    seller_note = models.CharField(max_length=300, blank=True)

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(condition=Q(cords__gt=0) | Q(bundles__gt=0), name="order_of_some_wood"),
            models.CheckConstraint(condition=Q(total_dollars__gte=0), name="order_total_not_negative"),
            models.CheckConstraint(condition=Q(first_on__lte=F("last_on")), name="order_days_in_order"),
            models.CheckConstraint(condition=Q(window_from__lt=F("window_to")), name="order_window_in_order"),
        ]
        indexes = [models.Index(fields=["state", "first_on"], name="order_by_state_and_day")]

    def __str__(self) -> str:
        return self.reference

    @property
    def reference(self) -> str:
        """How the wood's ledgers name this order."""
        return order_reference(self.number)

    @property
    def ticket(self) -> Ticket | None:
        """The ticket that holds: the newest, where one replaced another."""
        return max(self.tickets.all(), key=lambda ticket: ticket.number, default=None)

    @property
    def billed_dollars(self) -> Decimal:
        """What it costs the customer: its price, or what the seller keeps of one that ended."""
        ended = self.state in (self.State.DECLINED, self.State.CANCELLED)
        return self.kept_dollars if ended else self.total_dollars


class OrderHold(models.Model):
    """Which holds of wood stand for an order. Inventory never knows what an order is."""

    order = models.ForeignKey(Order, models.CASCADE, related_name="order_holds")
    hold = models.OneToOneField("inventory.Hold", models.PROTECT, related_name="+")

    def __str__(self) -> str:
        return f"{self.order_id} holds {self.hold_id}"
