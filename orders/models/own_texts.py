from django.db import models


class OwnText(models.Model):
    """The seller's own words for one kind of message in one language, in place of ours."""

    kind = models.CharField(max_length=30)
    language = models.CharField(max_length=5)
    subject = models.CharField(max_length=150)
    body = models.TextField(max_length=3000)
    text = models.CharField(max_length=600)

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["kind", "language"], name="one_own_text_a_kind_and_language")
        ]

    def __str__(self) -> str:
        return f"{self.kind} in {self.language}"
