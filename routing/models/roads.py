from django.db import models


class RoadExtract(models.Model):
    """A loaded OpenStreetMap extract: where its tiles and street index lie, and its edges."""

    name = models.CharField(max_length=120)
    sha256 = models.CharField(max_length=64, unique=True)
    west = models.FloatField()
    south = models.FloatField()
    east = models.FloatField()
    north = models.FloatField()
    tiles_dir = models.CharField(max_length=300)  # below ROADS_DIR
    streets_db = models.CharField(max_length=300)  # below ROADS_DIR
    addresses = models.PositiveIntegerField(default=0)
    is_invented = models.BooleanField(default=False)
    loaded_at = models.DateTimeField()
    is_current = models.BooleanField(default=False)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["is_current"], condition=models.Q(is_current=True), name="one_current_extract"
            )
        ]

    def __str__(self) -> str:
        return self.name


class CachedLeg(models.Model):
    """One drive, asked once: engine, extract and rig are in `profile_key`. No meters = no road."""

    profile_key = models.CharField(max_length=120)
    from_lat_e6 = models.IntegerField()
    from_lon_e6 = models.IntegerField()
    to_lat_e6 = models.IntegerField()
    to_lon_e6 = models.IntegerField()
    meters = models.PositiveIntegerField(null=True)
    seconds = models.PositiveIntegerField(null=True)

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["profile_key", "from_lat_e6", "from_lon_e6", "to_lat_e6", "to_lon_e6"],
                name="one_leg_per_profile",
            )
        ]

    def __str__(self) -> str:
        return f"{self.profile_key}: {self.meters} m"
