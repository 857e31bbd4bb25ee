import uuid

from django.db import models

from inventory.fields import SentenceField


class Letter(models.Model):
    """A message written to a customer: sent by e-mail, or ready for the seller's own phone."""

    class Way(models.TextChoices):
        EMAIL = "email", "e-mail"
        TEXT = "text", "text message from the seller's phone"

    order = models.ForeignKey("orders.Order", models.SET_NULL, null=True, blank=True, related_name="letters")
    customer = models.ForeignKey("orders.Customer", models.CASCADE, related_name="letters")
    kind = models.CharField(max_length=30)  # asked, confirmed, day_set, on_the_way, delivered, reminder...
    way = models.CharField(max_length=5, choices=Way)
    to = models.CharField(max_length=120)
    subject = models.CharField(max_length=200, blank=True)
    body = models.TextField()
    key = models.UUIDField(default=uuid.uuid4, unique=True)  # names the e-mail however often it is tried
    made_at = models.DateTimeField()
    due_at = models.DateTimeField(null=True, blank=True)  # next try by the wall clock; null: none to come
    tries = models.PositiveSmallIntegerField(default=0)
    sent_at = models.DateTimeField(null=True, blank=True)
    problem = SentenceField(blank=True)

    class Meta:
        ordering = ["-made_at", "-id"]
        indexes = [
            models.Index(fields=["due_at"], condition=models.Q(sent_at__isnull=True), name="letter_due")
        ]

    def __str__(self) -> str:
        return f"{self.kind} to {self.to}"
