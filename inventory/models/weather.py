from django.db import models
from django.db.models import Q


class WeatherStation(models.Model):
    """A named place whose weather was loaded from files; yards dry in it."""

    name = models.CharField(max_length=80, unique=True)
    description = models.CharField(max_length=300, blank=True)  # what was loaded, and what it left out
    is_typical = models.BooleanField(default=False)  # months put together from different years
    content_key = models.CharField(max_length=64, blank=True)  # of its days: forecasts are kept by it

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class WeatherYear(models.Model):
    """The days of one year at a station, measured or forecast, each year by itself."""

    station = models.ForeignKey(WeatherStation, models.CASCADE, related_name="years")
    year = models.PositiveSmallIntegerField()
    is_forecast = models.BooleanField(default=False)
    # rows of [day as 2026-07-01, C, % humidity, m/s, MJ/m2, mm, hours of rain]; null = not known
    days = models.JSONField()

    class Meta:
        ordering = ["station", "year"]
        constraints = [
            models.UniqueConstraint(
                fields=["station", "year"], condition=Q(is_forecast=False), name="station_year_once"
            ),
            models.UniqueConstraint(
                fields=["station"], condition=Q(is_forecast=True), name="station_one_forecast"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.station_id} {'forecast' if self.is_forecast else self.year}"
