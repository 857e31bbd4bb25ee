"""The seller's own words for messages, kept or given up for ours."""

from datetime import datetime

from django.db import transaction

from inventory.services import audit
from orders.core.own_texts import PARTS, check_texts
from orders.models import OwnText


@transaction.atomic
def keep_texts(
    *, kind: str, language: str, subject: str, body: str, text: str, at: datetime, who: str
) -> None:
    """Send these words from now on; messages written before stay as they are.

    Errors
        BadText: a gap nothing fills, or nothing said.
    """
    texts = {"subject": " ".join(subject.split()), "body": body.replace("\r\n", "\n"), "text": text}
    check_texts(kind, texts)
    row = OwnText.objects.filter(kind=kind, language=language).first() or OwnText(
        kind=kind, language=language
    )
    for part in PARTS:
        setattr(row, part, texts[part])
    row.full_clean()
    row.save()
    audit.note(at=at, who=who, verb="reworded", thing=f"message {kind}"[:40], note=language)


@transaction.atomic
def drop_texts(*, kind: str, language: str, at: datetime, who: str) -> None:
    """Back to our words."""
    if OwnText.objects.filter(kind=kind, language=language).delete()[0]:
        audit.note(at=at, who=who, verb="back to our words", thing=f"message {kind}"[:40], note=language)
