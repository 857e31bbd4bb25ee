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
    """One drive, asked once: engine, extract and rig are in `profile_key`. No meters = no road.

    line: the way as an encoded polyline of six digits, once somebody has looked at it.
    """

    profile_key = models.CharField(max_length=120)
    from_lat_e6 = models.IntegerField()
    from_lon_e6 = models.IntegerField()
    to_lat_e6 = models.IntegerField()
    to_lon_e6 = models.IntegerField()
    meters = models.PositiveIntegerField(null=True)
    seconds = models.PositiveIntegerField(null=True)
    line = models.TextField(blank=True, default="")

    class Meta:
        constraints = [
            models.UniqueConstraint(
                fields=["profile_key", "from_lat_e6", "from_lon_e6", "to_lat_e6", "to_lon_e6"],
                name="one_leg_per_profile",
            )
        ]

    def __str__(self) -> str:
        return f"{self.profile_key}: {self.meters} m"


class RoadLoad(models.Model):
    """The loading of a map asked for on a page: how far it is, and how it ended."""

    class State(models.TextChoices):
        WAITING = "waiting", "waiting to start"
        RUNNING = "running", "loading"
        DONE = "done", "loaded"
        FAILED = "failed", "not loaded"

    file = models.CharField(max_length=500)
    is_upload = models.BooleanField(default=False)  # ours to delete when it is over
    name = models.CharField(max_length=120)
    state = models.CharField(max_length=8, choices=State, default=State.WAITING)
    message = models.CharField(max_length=500, blank=True)
    asked_at = models.DateTimeField()
    heard_at = models.DateTimeField(null=True, blank=True)  # by the wall clock

    class Meta:
        ordering = ["-asked_at", "-id"]

    def __str__(self) -> str:
        return f"{self.name}: {self.state}"
