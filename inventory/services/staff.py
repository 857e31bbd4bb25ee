"""What somebody who logs in chooses for themselves."""

from django.contrib.auth import get_user_model

from inventory.models import StaffLanguage


def set_language(username: str, language: str) -> None:
    """Keep the language they read, on whatever phone they log in."""
    user = get_user_model().objects.get_by_natural_key(username)
    StaffLanguage.objects.update_or_create(user=user, defaults={"language": language})
