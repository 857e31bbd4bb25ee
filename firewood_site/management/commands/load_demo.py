"""Fill empty books with the invented seller of the demo, roads included."""

from datetime import datetime, time
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth.models import Group, User
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction
from django.utils import timezone

from firewood_site.access import DRIVERS, SELLERS
from firewood_site.demo import DEMO_DAY, PASSWORD, road, sale, wood
from inventory.models import Business, Yard
from orders.models import Order
from routing.core import RoutingError
from routing.models import Rig
from routing.services.commits import commit_day
from routing.services.days import lay_out_day

REGION = Path(settings.BASE_DIR) / "fixtures" / "roads" / "quarrel_ridge.osm.pbf"


class Command(BaseCommand):
    help = "Load the invented scenario into empty books."

    def add_arguments(self, parser: Any) -> None:
        parser.add_argument("--if-empty", action="store_true", help="do nothing when there are books already")
        parser.add_argument("--no-roads", action="store_true", help="leave the roads as they are")

    def handle(self, *args: Any, **options: Any) -> None:
        if Business.objects.exists() or Order.objects.exists():
            if options["if_empty"]:
                return
            raise CommandError(
                "There are books here already and load_demo would write over them. "
                "Point DATA_DIR or DATABASE_URL at an empty place, or move the data folder away."
            )
        if not options["no_roads"]:
            call_command("load_roads", str(REGION), verbosity=options["verbosity"])
        with transaction.atomic():
            self.load_books()
        self.plan_today()
        self.stdout.write("The invented seller is loaded: Quarrel Ridge Wood, Friday 18 September 2026.")

    def load_books(self) -> None:
        wood.load_business()
        yards = wood.load_yards()
        units = wood.load_units()
        lots = wood.load_lots(yards, units)
        wood.load_restacks()
        wood.load_work(units)
        towns = sale.load_prices()
        sale.load_orders(towns, lots, sale.find_addresses(towns))
        road.load_rigs(yards)
        road.load_shuts(yards)
        road.load_season()
        for name, group in (("ruth", SELLERS), ("tam", DRIVERS)):
            user = User.objects.create_user(name, password=PASSWORD)
            user.groups.add(Group.objects.get_or_create(name=group)[0])

    def plan_today(self) -> None:
        """Today's run of orders 201, 202 and 203 is planned and committed, ready for the driver."""
        at = timezone.make_aware(datetime.combine(DEMO_DAY, time(6)))
        yards = dict(Yard.objects.values_list("name", "pk"))
        loads = ((yards["Creek Yard"], (201,)), (yards["Siding Yard"], (202, 203)))
        rig = Rig.objects.get(name="Big trailer")
        try:
            lay_out_day(on=DEMO_DAY, rig_id=rig.pk, loads=loads, at=at, who="ruth", starts_at=time(7, 30))
            commit_day(on=DEMO_DAY, at=at, who="ruth")
        except RoutingError as error:  # without the demo's roads its hours are only guessed
            self.stderr.write(f"Today's run was not planned: {error}")
