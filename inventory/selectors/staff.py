"""What is kept of somebody who logs in."""

from inventory.models import StaffLanguage


def language_of(username: str) -> str:
    """The language they chose; empty when they never chose one."""
    row = StaffLanguage.objects.filter(user__username=username).first()
    return row.language if row else ""
