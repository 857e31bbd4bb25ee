from decimal import Decimal

from django.db import models

from inventory.fields import CordsField


class Yard(models.Model):
    """A place wood is kept: where, when open, how long loading takes, what air it dries in."""

    name = models.CharField(max_length=80, unique=True)
    lat = models.FloatField()
    lon = models.FloatField()
    note = models.CharField(max_length=200, blank=True)
    opens_at = models.TimeField(default="06:00")
    closes_at = models.TimeField(default="19:00")
    load_fixed_minutes = models.DecimalField(max_digits=5, decimal_places=1, default=Decimal(10))
    load_minutes_per_cord = models.DecimalField(max_digits=5, decimal_places=1, default=Decimal(36))
    room_cords = CordsField(null=True, blank=True)
    rent_month = models.DecimalField(max_digits=8, decimal_places=2, default=Decimal(0))
    has_signal = models.BooleanField(default=True)
    takes_big_trailer = models.BooleanField(default=True)
    soft_when_wet = models.BooleanField(default=False)
    pick_up_here = models.BooleanField(default=False)
    climate_city = models.CharField(max_length=80, blank=True)  # a row of the shipped table, or empty
    # twelve monthly equilibrium moistures, % dry basis; empty = from the city
    climate_emc = models.JSONField(default=list, blank=True)
    # loaded weather; the city or the values above stand in for what its files leave out
    station = models.ForeignKey(
        "inventory.WeatherStation", models.SET_NULL, null=True, blank=True, related_name="yards"
    )

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=models.Q(opens_at__lt=models.F("closes_at")), name="yard_opens_before_closing"
            ),
            models.CheckConstraint(
                condition=models.Q(load_fixed_minutes__gte=0, load_minutes_per_cord__gte=0),
                name="yard_loading_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return self.name
