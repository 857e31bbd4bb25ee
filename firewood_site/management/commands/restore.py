"""Put a copy made by backup in place of the present books. Stop the app first."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from firewood_site.backups import restore
from firewood_site.sealed import SealError


class Command(BaseCommand):
    help = "Put a copy made by backup in place of the present books. Stop the app first."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("folder", metavar="DIR")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            restore(Path(options["folder"]))
        except SealError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            why = f"{options['folder']} cannot be read: {error.strerror}. Name another folder."
            raise CommandError(why) from error
        self.stdout.write("The books are as they were in the copy.")
