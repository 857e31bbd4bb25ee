"""One line that tells where the demo is served and how to get in."""

from typing import Any

from django.core.management.base import BaseCommand

from firewood_site.demo import PASSWORD


class Command(BaseCommand):
    help = "Print the three addresses and the demo log-ins."

    def handle(self, *args: Any, **options: Any) -> None:
        site = "http://127.0.0.1:8000"
        self.stdout.write(
            f"Customers {site}/  ·  Seller {site}/seller/ (ruth / {PASSWORD})  ·  "
            f"Driver {site}/driver/ (tam / {PASSWORD})  ·  Ctrl-C stops"
        )
