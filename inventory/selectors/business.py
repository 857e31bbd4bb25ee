"""Who sells: one frozen row, read on every page."""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.models import Business


@dataclass(frozen=True, slots=True, kw_only=True)
class BusinessRow:
    name: str
    owner: str
    address: str
    phone: str
    email: str
    about: str
    place_key: str
    volume_style: str
    target_wage: Decimal
    production_hours_per_cord: Decimal
    production_cash_per_cord: Decimal
    first_rain_month: int
    first_rain_day: int
    change_cut_off_hour: int
    pinned_today: date | None

    def first_rain_after(self, on: date) -> date:
        """The next usual first-rain date on or after a day."""
        this_year = date(on.year, self.first_rain_month, self.first_rain_day)
        return this_year if this_year >= on else this_year.replace(year=on.year + 1)


def business() -> BusinessRow:
    """The seller's row; the model's defaults with the name "Firewood" until one is saved."""
    row = Business.objects.order_by("id").first() or Business(name="Firewood")
    return BusinessRow(**{name: getattr(row, name) for name in BusinessRow.__dataclass_fields__})
