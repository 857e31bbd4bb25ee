"""Wood and work as a seller writes them down: one sheet of Log it, then what only the heap's page asks."""

from typing import Any
from uuid import uuid4

from django.urls import reverse

from inventory.models import Lot


def log(client: Any, *steps: str, **said: Any) -> Any:
    """A sheet sent; the answer. Hours are not booked unless said."""
    sheet = {"key": str(uuid4()), "steps": steps, "how_long": "none", "amount": "worked"}
    return client.post(reverse("log"), {**sheet, **said})


def log_hours(client: Any, *steps: str, hours: str, on: str, **said: Any) -> None:
    """Hours of work on a lot (wood=) or on ground (unit=)."""
    answer = log(client, *steps, hours=hours, on=on, **said)
    assert answer.status_code == 302, answer.context["form"].errors


def log_heap(
    client: Any, *, yard: int, cords: str, on: str, species: str = "fir", lies: str = "splits",
    unit: Any = "", exposure: str = "low_heap", **facts: Any,
) -> str:  # fmt: skip
    """A new heap's code. facts: what its own page is told then: its start, its sale, its name."""
    answer = log(
        client, "measure", wood="new", species=species, yard=yard, cords=cords, lies=lies, on=on, unit=unit,
        exposure=exposure,
    )  # fmt: skip
    assert answer.status_code == 302, answer.context["form"].errors
    code = Lot.objects.latest("pk").code
    for act, names in (
        ("facts", {"split_on", "start_moisture_pct"}),
        ("sale", {"sale"}),
        ("describe", {"name"}),
    ):
        if told := {name: value for name, value in facts.items() if name in names}:
            change(client, code, act, **told)
    return code


def change(client: Any, code: str, act: str, **told: Any) -> Any:
    """A change of a lot's page as it opens, with what is typed over it."""
    path = reverse("lot-change", args=[code, act])
    form = client.get(path).context["form"]
    shown = {name: value for name, value in form.initial.items() if value not in (None, False)}
    answer = client.post(path, {**shown, **told})
    assert answer.status_code == 302, answer.context["form"].errors
    return answer
