from decimal import Decimal

from django.db import models
from django.db.models import Q


class Rig(models.Model):
    """A pickup, alone or with a trailer: box, weights, heap number, and what an hour and a mile cost."""

    name = models.CharField(max_length=60, unique=True)
    has_trailer = models.BooleanField(default=True)
    is_small = models.BooleanField(default=False)  # may go to small-rig-only addresses
    home_yard = models.ForeignKey("inventory.Yard", models.PROTECT, related_name="rigs")
    pickup = models.ForeignKey(  # none: a pickup that pulls no other rig
        "routing.Pickup", models.PROTECT, null=True, blank=True, related_name="rigs"
    )
    driver = models.ForeignKey(  # who usually takes it out; a day may say otherwise
        "routing.Driver", models.SET_NULL, null=True, blank=True, related_name="usual_rigs"
    )
    helper = models.ForeignKey(
        "routing.Driver", models.SET_NULL, null=True, blank=True, related_name="usual_help"
    )
    truck_lb = models.PositiveIntegerField()  # with driver and tools
    truck_gross_lb = models.PositiveIntegerField()
    trailer_empty_lb = models.PositiveIntegerField(default=0)
    trailer_gross_lb = models.PositiveIntegerField(default=0)
    bed_payload_lb = models.PositiveIntegerField(default=0)
    bed_ft3 = models.PositiveSmallIntegerField(default=0)  # room for bundles beside the trailer; 0: none ride
    hitch_tongue_lb = models.PositiveIntegerField(default=0)  # ratings; 0 is not written down
    hitch_tow_lb = models.PositiveIntegerField(default=0)
    combined_rating_lb = models.PositiveIntegerField(default=0)
    trailer_axle_lb = models.PositiveIntegerField(default=0)  # all axles together
    trailer_tires_lb = models.PositiveIntegerField(default=0)  # all tires together
    hitch_to_axle_ft = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    hitch_to_box_ft = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    straps = models.PositiveSmallIntegerField(default=0)
    strap_lb = models.PositiveIntegerField(default=0)  # working load limit of each
    payload_lb = models.PositiveIntegerField()  # wood it may carry by the tightest of its ratings
    box_length_ft = models.DecimalField(max_digits=5, decimal_places=2)
    box_width_ft = models.DecimalField(max_digits=5, decimal_places=2)
    box_side_ft = models.DecimalField(max_digits=5, decimal_places=2)
    box_heap_ft = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(0))
    capacity_ft3 = models.DecimalField(max_digits=7, decimal_places=2)  # loose, heaped as usual
    heap_number = models.DecimalField(max_digits=6, decimal_places=1, default=Decimal(190))
    length_ft = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal(38))
    height_ft = models.DecimalField(max_digits=5, decimal_places=2, default=Decimal("7.5"))
    top_speed_mph = models.DecimalField(max_digits=4, decimal_places=1, default=Decimal(55))
    works = models.BooleanField(default=True)
    out_reason = models.CharField(max_length=120, blank=True)

    class Meta:
        ordering = ["name"]
        constraints = [
            models.CheckConstraint(
                condition=Q(payload_lb__gt=0, capacity_ft3__gt=0), name="rig_can_carry_something"
            ),
            models.CheckConstraint(condition=Q(heap_number__gt=0), name="rig_heap_number_positive"),
            models.CheckConstraint(
                condition=~Q(driver=models.F("helper")) | Q(driver=None) | Q(helper=None),
                name="rig_helper_is_not_its_driver",
            ),
        ]

    def __str__(self) -> str:
        return self.name

    @property
    def truck(self) -> str:
        """The name of the pickup it shares, if any."""
        return self.pickup.name if self.pickup else ""


class RunningCost(models.Model):
    """What the rig's mile costs, loaded and empty, from a date on."""

    rig = models.ForeignKey(Rig, models.CASCADE, related_name="running_costs")
    from_on = models.DateField()
    loaded_mile = models.DecimalField(max_digits=6, decimal_places=3)
    empty_mile = models.DecimalField(max_digits=6, decimal_places=3)
    fixed_run = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal(0))
    wage_hour = models.DecimalField(max_digits=7, decimal_places=2, default=Decimal("25.00"))

    class Meta:
        ordering = ["-from_on"]
        constraints = [
            models.UniqueConstraint(fields=["rig", "from_on"], name="one_running_cost_per_day"),
            models.CheckConstraint(
                condition=Q(loaded_mile__gte=0, empty_mile__gte=0, fixed_run__gte=0, wage_hour__gte=0),
                name="running_cost_not_negative",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.rig_id} from {self.from_on}"
