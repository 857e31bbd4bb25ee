"""Copy the database and the photos into a new folder below DIR."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from firewood_site.backups import back_up
from firewood_site.sealed import SealError


class Command(BaseCommand):
    help = "Copy the database and the photos into a new folder below DIR."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("folder", metavar="DIR")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            made = back_up(Path(options["folder"]), timezone.localtime())
        except SealError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            why = f"{options['folder']} cannot be written: {error.strerror}. Name another folder."
            raise CommandError(why) from error
        self.stdout.write(f"Copied to {made}")
