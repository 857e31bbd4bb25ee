from django.db import models

from inventory.fields import SentenceField


class Customer(models.Model):
    """A person who buys wood. No account: they are known by their phone and by signed links."""

    name = models.CharField(max_length=120)
    phone = models.CharField(max_length=32, blank=True, db_index=True)  # E.164 where it could be read
    phone_as_typed = models.CharField(max_length=40, blank=True)
    is_landline = models.BooleanField(default=False)
    email = models.EmailField(blank=True)
    language = models.CharField(max_length=5, default="en")
    is_repeat = models.BooleanField(default=False)
    pay_first = models.BooleanField(default=False)
    pay_first_reason = SentenceField(blank=True)  # dated facts only
    pay_first_on = models.DateField(null=True, blank=True)
    owed_before = models.DecimalField(max_digits=9, decimal_places=2, default=0)  # from before the books
    wants_reminder = models.BooleanField(default=False)
    reminder_season = models.CharField(max_length=9, blank=True)  # "2027" once sent
    called_on = models.DateField(null=True, blank=True)  # before the season, by the seller
    made_at = models.DateTimeField()
    erased_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["name", "id"]

    def __str__(self) -> str:
        return self.name


class Place(models.Model):
    """Where wood goes: a spot on the map or words for one, and how to get in."""

    customer = models.ForeignKey(Customer, models.CASCADE, null=True, blank=True, related_name="places")
    address = models.CharField(max_length=200)
    town = models.ForeignKey("orders.Town", models.PROTECT, null=True, blank=True, related_name="places")
    lat = models.FloatField(null=True, blank=True)
    lon = models.FloatField(null=True, blank=True)
    is_exact = models.BooleanField(default=True)  # False: the street's middle, or only words
    is_confirmed = models.BooleanField(default=True)  # False: nobody has said that this is the place
    small_rig_only = models.BooleanField(default=False)
    access = models.CharField(max_length=40, blank=True)  # ticked: "narrow,steep,no_turn"
    access_note = models.CharField(max_length=300, blank=True)
    gate_code = models.CharField(max_length=40, blank=True)
    drop_spot = models.CharField(max_length=200, blank=True)

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return self.address
