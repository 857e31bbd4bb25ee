"""Carry everything into another, empty database: people and roads included."""

from typing import Any

from django.core.exceptions import ImproperlyConfigured
from django.core.management.base import BaseCommand, CommandError

from firewood_site.moving import MoveError, move_to


class Command(BaseCommand):
    help = "Copy everything into the empty database of DATABASE_URL. Stop the app first."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("url", metavar="DATABASE_URL")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            counts = move_to(options["url"])
        except (MoveError, ImproperlyConfigured) as error:
            raise CommandError(str(error)) from error
        for name, rows in counts.items():
            if rows:
                self.stdout.write(f"{rows:7} {name}")
        self.stdout.write("Moved. Set DATABASE_URL to it, keep DATA_DIR, and start the app.")
