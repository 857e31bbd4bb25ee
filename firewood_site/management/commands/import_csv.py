"""Read CSV files made by export_csv, or by hand, into empty books."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from firewood_site.books import BooksError, import_books


class Command(BaseCommand):
    help = "Read CSV files made by export_csv, or by hand, into empty books."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("folder", metavar="DIR")

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            counts = import_books(Path(options["folder"]))
        except BooksError as error:
            raise CommandError(str(error)) from error
        except OSError as error:
            why = f"{options['folder']} cannot be read: {error.strerror}. Name another folder."
            raise CommandError(why) from error
        for count in counts:
            self.stdout.write(f"{count.rows:7} {count.name}")
