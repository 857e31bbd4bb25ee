"""Let somebody sign in who sells, drives or helps, with a first password made up here."""

from typing import Any

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from firewood_site.people import ROLES, add_person
from firewood_site.refusals import PageRefusal


class Command(BaseCommand):
    help = "Add somebody who sells, drives or helps; prints their first password."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("name")
        parser.add_argument("--role", choices=sorted(ROLES), default="seller")

    def handle(self, *args: Any, **options: Any) -> None:
        name = options["name"]
        try:
            first = add_person(name=name, role=options["role"], at=timezone.now(), who="add_staff")
        except PageRefusal as error:
            raise CommandError(str(error)) from error
        except ValidationError as error:
            raise CommandError(" ".join(error.messages)) from error
        self.stdout.write(f"{name} signs in with {first} and chooses a password of their own under Log-in.")
