from decimal import Decimal

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models


class Business(models.Model):
    """The seller: one row. Names on tickets, the target wage, the usual first rain, the place's rules."""

    name = models.CharField(max_length=120)
    owner = models.CharField(max_length=120, blank=True)
    address = models.CharField(max_length=200, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField(blank=True)
    about = models.TextField(blank=True)
    place_key = models.CharField(max_length=40, default="handbook_130")  # orders/core/places.toml
    currency = models.CharField(max_length=3, default="USD")  # a key of inventory/core/local.py's CURRENCIES
    language = models.CharField(max_length=5, default="en")  # of whom nobody asked what they read
    picture = models.ForeignKey("inventory.Photo", null=True, blank=True, on_delete=models.SET_NULL)
    target_wage = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal("25.00"))
    production_hours_per_cord = models.DecimalField(max_digits=6, decimal_places=2, default=Decimal("5.45"))
    production_cash_per_cord = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal("32.00"))
    first_rain_month = models.PositiveSmallIntegerField(
        default=10, validators=[MinValueValidator(1), MaxValueValidator(12)]
    )
    first_rain_day = models.PositiveSmallIntegerField(
        default=5, validators=[MinValueValidator(1), MaxValueValidator(31)]
    )
    request_hours = models.PositiveSmallIntegerField(default=48, validators=[MaxValueValidator(24 * 30)])
    change_cut_off_hour = models.PositiveSmallIntegerField(default=12, validators=[MaxValueValidator(23)])
    # parts of the app the seller was told of: {"days": "shown"} or {"days": "not_now"}
    parts_told = models.JSONField(default=dict, blank=True)
    pinned_today = models.DateField(null=True, blank=True)  # the demo's fixed day; empty in real use

    class Meta:
        verbose_name_plural = "business"

    def __str__(self) -> str:
        return self.name
