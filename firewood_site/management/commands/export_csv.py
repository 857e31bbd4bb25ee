"""Write every table into DIR as CSV."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from firewood_site.books import BooksError, export_books


class Command(BaseCommand):
    help = "Write every table into DIR as CSV."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("folder", metavar="DIR")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            counts = export_books(Path(options["folder"]))
        except BooksError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            why = f"{options['folder']} cannot be written: {error.strerror}. Name another folder."
            raise CommandError(why) from error
        for count in counts:
            self.stdout.write(f"{count.rows:7} {count.name}")
