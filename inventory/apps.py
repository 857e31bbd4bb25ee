from django.apps import AppConfig
from django.core.signals import request_started
from django.tasks.signals import task_started


class InventoryConfig(AppConfig):
    name = "inventory"

    def ready(self) -> None:
        """Weights, drying and tickets read the seller's own woods before the published ones."""
        from inventory.core import local
        from inventory.core.species import read_own_woods
        from inventory.selectors.species import forget, own_woods

        read_own_woods(own_woods)
        for begins in (request_started, task_started):
            begins.connect(forget, dispatch_uid="own woods are read anew")
            begins.connect(local.forget, dispatch_uid="money and units are read anew")
