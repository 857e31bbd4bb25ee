from django.conf import settings
from django.db import models


class StaffLanguage(models.Model):
    """The language somebody who logs in reads; without a row, English."""

    user = models.OneToOneField(settings.AUTH_USER_MODEL, models.CASCADE, related_name="reads")
    language = models.CharField(max_length=8)

    def __str__(self) -> str:
        return f"{self.user} reads {self.language}"
