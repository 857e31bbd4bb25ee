from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.db.models import F, Q


class OwnSpecies(models.Model):
    """A kind of tree with the seller's own figures: a new one, or a published one put right."""

    class Group(models.TextChoices):
        SOFTWOOD = "softwood", "softwood (has needles)"
        HARDWOOD = "hardwood", "hardwood (has leaves)"

    key = models.SlugField(max_length=40, unique=True)
    name = models.CharField(max_length=80)  # "Oak, Oregon white": the kind after the comma
    scientific = models.CharField(max_length=80, blank=True)
    group = models.CharField(max_length=10, choices=Group)
    specific_gravity = models.DecimalField(
        max_digits=4, decimal_places=3, validators=[MinValueValidator(0.1), MaxValueValidator(1.2)]
    )
    shrinkage_pct = models.DecimalField(max_digits=4, decimal_places=1, null=True, blank=True)
    green_low_pct = models.DecimalField(max_digits=4, decimal_places=1)
    green_high_pct = models.DecimalField(max_digits=4, decimal_places=1)
    btu_per_lb = models.PositiveIntegerField(null=True, blank=True)  # gross, of an oven-dry lb
    source = models.CharField(max_length=200)
    changed_on = models.DateField()

    class Meta:
        ordering = ["name"]
        verbose_name_plural = "own species"
        constraints = [
            models.CheckConstraint(
                condition=Q(
                    specific_gravity__gt=0, green_low_pct__gt=0, green_high_pct__gte=F("green_low_pct")
                ),
                name="own_species_can_be_wood",
            ),
        ]

    def __str__(self) -> str:
        return self.name
