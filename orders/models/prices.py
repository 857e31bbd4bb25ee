from decimal import Decimal

from django.db import models
from django.db.models import Q

from inventory.fields import CordsField


class Market(models.Model):
    """A set of towns priced together: near or far."""

    key = models.SlugField(unique=True)
    name = models.CharField(max_length=60)
    is_far = models.BooleanField(default=False)
    minimum_cords = CordsField()
    is_delivered_price = models.BooleanField(default=False)  # True: the wood price includes the drive

    class Meta:
        ordering = ["is_far", "name"]

    def __str__(self) -> str:
        return self.name


class Town(models.Model):
    """A town we deliver to; addresses without a spot on the map stand at its middle."""

    name = models.CharField(max_length=60, unique=True)
    market = models.ForeignKey(Market, models.PROTECT, related_name="towns")
    lat = models.FloatField()
    lon = models.FloatField()
    hop_miles = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal(2))

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class PriceSheet(models.Model):
    """The tariff, from a date on. The newest sheet not in the future holds."""

    from_on = models.DateField(unique=True)
    free_miles = models.DecimalField(max_digits=5, decimal_places=1, default=Decimal(12))
    per_mile = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal("2.75"))
    is_in_km = models.BooleanField(default=False)  # the three road figures are km, or dollars a km
    longest_miles = models.DecimalField(max_digits=6, decimal_places=1, default=Decimal(90))
    stacking_per_cord = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(60))
    stacking_within_ft = models.PositiveSmallIntegerField(default=30)
    access_charge = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(20))
    pick_up_off = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(5))
    two_cords_off_per_cord = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(10))
    bundle_price = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(7))
    bundle_price_many = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(5))
    bundles_for_many = models.PositiveSmallIntegerField(default=20)
    log_cord_price = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(110))
    round_to = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(5))
    deposit_pct = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal(20))
    deposit_round_to = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(5))
    deposit_new_customers_only = models.BooleanField(default=True)
    tax_pct = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    tax_on = models.CharField(
        max_length=10,
        default="none",
        choices=[("none", "no sales tax"), ("wood", "on the wood"), ("all", "on wood, drive and stacking")],
    )
    quote_days = models.PositiveSmallIntegerField(default=10)  # a quote holds so long
    floor_per_cord = models.DecimalField(max_digits=8, decimal_places=2, default=Decimal(0))
    least_delivery = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(50))
    note = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["-from_on"]

    def __str__(self) -> str:
        return f"Prices from {self.from_on}"


class WoodPrice(models.Model):
    """Dollars for one cord of a wood in a market, dry or green."""

    sheet = models.ForeignKey(PriceSheet, models.CASCADE, related_name="wood_prices")
    market = models.ForeignKey(Market, models.PROTECT, related_name="wood_prices")
    wood = models.CharField(max_length=20)  # fir, hardwood, mixed
    dryness = models.CharField(max_length=10, choices=[("seasoned", "seasoned"), ("green", "green")])
    cord_dollars = models.DecimalField(max_digits=8, decimal_places=2)

    class Meta:
        ordering = ["market", "wood", "dryness"]
        constraints = [
            models.UniqueConstraint(
                fields=["sheet", "market", "wood", "dryness"], name="one_price_per_wood_and_market"
            ),
            models.CheckConstraint(condition=Q(cord_dollars__gt=0), name="wood_price_positive"),
        ]

    def __str__(self) -> str:
        return f"{self.wood} {self.dryness} {self.cord_dollars}"


class Uplift(models.Model):
    """How much dearer, by the cord, a fraction is than a whole cord."""

    sheet = models.ForeignKey(PriceSheet, models.CASCADE, related_name="uplifts")
    cords = CordsField()
    share = models.DecimalField(max_digits=4, decimal_places=3)

    class Meta:
        ordering = ["-cords"]
        constraints = [
            models.UniqueConstraint(fields=["sheet", "cords"], name="one_uplift_per_fraction"),
        ]

    def __str__(self) -> str:
        return f"{self.cords}: {self.share}"
