from django.db import models


class Numbering(models.Model):
    """The last number given out of a series, so that two people at once never get the same one."""

    series = models.SlugField(unique=True)  # order, ticket
    last = models.PositiveIntegerField(default=0)

    def __str__(self) -> str:
        return f"{self.series} {self.last}"
