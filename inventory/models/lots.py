from decimal import Decimal

from django.db import models
from django.db.models import F, Q

from inventory.fields import CordsField


class Lot(models.Model):
    """One batch of wood with one history: species, unit, dates, yard.

    `on_hand_cords` is the fold of the lot's movements and `firm_cords` and `soft_cords` of its holds,
    kept beside it so that a promise is one conditional UPDATE. `kept_cords` is for own use. `short_cords` is
    what was promised beyond a later true count: nothing is promised of such a lot until it is settled.
    """

    class Form(models.TextChoices):
        ROUNDS = "rounds", "rounds"
        SPLITS = "splits", "splits"
        LOGS = "logs", "log length"
        KINDLING = "kindling", "kindling bundles"

    class Piling(models.TextChoices):
        STACKED = "stacked", "stacked in a row"
        HEAPED = "heaped", "heaped"
        LOOSE = "loose", "loose"
        DECKED = "decked", "decked"

    class Exposure(models.TextChoices):
        SUN_ROW = "sun_row", "sunny single row"
        SPREAD = "spread", "spread out one deep"
        LOW_HEAP = "low_heap", "low loose heap"
        DEEP_OR_SHADE = "deep_or_shade", "deep heap or shade"
        UNDER_ROOF = "under_roof", "under a roof"

    class Sale(models.TextChoices):
        FOR_SALE = "for_sale", "for sale"
        NOT_YET = "not_yet", "not for sale yet"
        OWN_USE = "own_use", "own use"

    code = models.CharField(max_length=12, unique=True)
    name = models.CharField(max_length=80)
    unit = models.ForeignKey("inventory.Unit", models.PROTECT, null=True, blank=True, related_name="lots")
    yard = models.ForeignKey("inventory.Yard", models.PROTECT, related_name="lots")
    parent = models.ForeignKey("self", models.PROTECT, null=True, blank=True, related_name="children")
    mix = models.JSONField()  # {species key of species.toml: percent}, adds to 100
    wood = models.CharField(max_length=20)  # price sheet word: fir, hardwood, mixed, kindling, logs
    form = models.CharField(max_length=10, choices=Form)
    piling = models.CharField(max_length=10, choices=Piling)
    exposure = models.CharField(max_length=15, choices=Exposure, default=Exposure.LOW_HEAP)
    is_covered = models.BooleanField(default=False)
    piece_inches = models.DecimalField(max_digits=5, decimal_places=1, default=Decimal(16))
    # inches across: width of a split, diameter of a round; empty = usual for the form
    across_inches = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    bundle_ft3 = models.DecimalField(max_digits=5, decimal_places=3, null=True, blank=True)
    felled_on = models.DateField(null=True, blank=True)
    bucked_on = models.DateField(null=True, blank=True)
    split_on = models.DateField(null=True, blank=True)
    # dry basis, at drying_from; empty = what such wood usually holds
    start_moisture_pct = models.DecimalField(max_digits=5, decimal_places=1, null=True, blank=True)
    drying_from = models.DateField()  # the day the curve starts: split, or felled for logs and rounds
    # how it lay before today's way, oldest first; see `inventory.selectors.drying.lay_now`
    lay_before = models.JSONField(default=list, blank=True)
    # the seller's own guesses, low, likely, high: hours a cord by step, "price": dollars a cord
    guesses = models.JSONField(default=dict, blank=True)
    sale = models.CharField(max_length=10, choices=Sale, default=Sale.NOT_YET)
    said_ready = models.CharField(max_length=80, blank=True)  # the seller's own words, "fall 2027"
    on_hand_cords = CordsField(default=0)
    firm_cords = CordsField(default=0)
    soft_cords = CordsField(default=0)
    kept_cords = CordsField(default=0)
    short_cords = CordsField(default=0)
    note = models.TextField(blank=True)
    version = models.PositiveIntegerField(default=0)  # grows with every change; two people at once

    class Meta:
        ordering = ["code"]
        constraints = [
            models.CheckConstraint(condition=Q(on_hand_cords__gte=0), name="lot_never_negative"),
            models.CheckConstraint(
                condition=Q(firm_cords__gte=0, soft_cords__gte=0, kept_cords__gte=0, short_cords__gte=0),
                name="lot_promises_not_negative",
            ),
            models.CheckConstraint(
                condition=Q(
                    on_hand_cords__gte=F("firm_cords") + F("soft_cords") + F("kept_cords") - F("short_cords")
                ),
                name="lot_never_promised_twice",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.code} {self.name}"
