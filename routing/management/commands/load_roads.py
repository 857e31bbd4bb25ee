"""Load any OpenStreetMap extract: road tiles and street search."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from routing.core import RoutingError
from routing.services.roads import load_extract


class Command(BaseCommand):
    help = "Build road tiles and the street index of an OpenStreetMap extract and switch to them."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("file", type=Path, help="an extract that ends in .osm.pbf")
        parser.add_argument("--name", default="", help="how the map is called; else the name of the file")
        parser.add_argument("--threads", type=int, default=2, help="threads of the tile builder")

    def handle(self, *args: Any, **options: Any) -> None:
        def say(line: str) -> None:
            if options["verbosity"]:
                self.stdout.write(f"{line} ...")
                self.stdout.flush()

        try:
            loaded = load_extract(
                pbf=options["file"],
                loaded_at=timezone.now(),
                name=options["name"],
                threads=options["threads"],
                say=say,
            )
        except RoutingError as error:
            raise CommandError(str(error)) from error
        if options["verbosity"]:
            self.stdout.write(f"Roads in use: {loaded.name}, {loaded.houses} house numbers.")
