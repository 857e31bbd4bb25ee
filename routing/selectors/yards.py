"""Yards to choose from."""

from inventory.models import Yard


def yard_names() -> tuple[tuple[int, str], ...]:
    """Id and name of every yard, by name."""
    return tuple(Yard.objects.order_by("name").values_list("id", "name"))
