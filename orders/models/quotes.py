import uuid

from django.db import models

from inventory.fields import CordsField, SentenceField


class Quote(models.Model):
    """Our price for an order request, line by line, with its last day. Kept as it was said."""

    token = models.UUIDField(default=uuid.uuid4, unique=True)
    made_at = models.DateTimeField()
    made_on = models.DateField()
    last_day = models.DateField()
    sheet = models.ForeignKey("orders.PriceSheet", models.PROTECT, related_name="quotes")
    market = models.ForeignKey("orders.Market", models.PROTECT, related_name="quotes")
    customer = models.ForeignKey(
        "orders.Customer", models.SET_NULL, null=True, blank=True, related_name="quotes"
    )
    place = models.ForeignKey("orders.Place", models.SET_NULL, null=True, blank=True, related_name="quotes")
    neighbor = models.ForeignKey(  # the order at the same place that it shares its drop and drive with
        "orders.Order", models.SET_NULL, null=True, blank=True, related_name="+"
    )
    wood = models.CharField(max_length=20)
    dryness = models.CharField(max_length=10)
    cords = CordsField(default=0)
    bundles = models.PositiveIntegerField(default=0)
    how = models.CharField(max_length=10, default="delivered")  # or pick_up
    stacked = models.BooleanField(default=False)
    small_rig_only = models.BooleanField(default=False)
    from_yard = models.ForeignKey("inventory.Yard", models.PROTECT, null=True, blank=True, related_name="+")
    miles = models.DecimalField(max_digits=6, decimal_places=1, null=True, blank=True)
    minutes = models.PositiveIntegerField(null=True, blank=True)
    is_estimate = models.BooleanField(default=False)  # the drive came from the straight-line engine
    reasons = models.JSONField(default=list, blank=True)  # [{label, dollars, why}]
    wood_dollars = models.DecimalField(max_digits=9, decimal_places=2)
    drive_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    total_dollars = models.DecimalField(max_digits=9, decimal_places=2)
    deposit_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    tax_dollars = models.DecimalField(max_digits=9, decimal_places=2, default=0)
    day_offers = models.JSONField(default=list, blank=True)  # read by orders.selectors.lines
    first_honest_day = models.DateField(null=True, blank=True)
    floor_dollars = models.DecimalField(max_digits=9, decimal_places=2, null=True, blank=True)  # before tax
    asked_by = models.CharField(max_length=120, blank=True)  # as told to the seller: a name, a phone
    warning = SentenceField(blank=True)  # for the seller's eyes: below cost and so on

    class Meta:
        ordering = ["-made_at"]
        constraints = [
            models.CheckConstraint(condition=models.Q(total_dollars__gte=0), name="quote_total_not_negative")
        ]

    def __str__(self) -> str:
        return f"{self.cords} {self.wood} {self.total_dollars}"
