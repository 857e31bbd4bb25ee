"""Who sells: one frozen row, read on every page."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from inventory.core.once import once_a_page
from inventory.core.rows import from_row
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
    currency: str
    language: str
    picture_id: int | None  # of the photo that stands beside the name
    target_wage: Decimal
    production_hours_per_cord: Decimal
    production_cash_per_cord: Decimal
    first_rain_month: int
    first_rain_day: int
    change_cut_off_hour: int
    request_hours: int  # how long a new request keeps its wood from others
    parts_told: Mapping[str, str]
    pinned_today: date | None

    def first_rain_after(self, on: date) -> date:
        """The next usual first-rain date on or after a day."""
        this_year = date(on.year, self.first_rain_month, self.first_rain_day)
        return this_year if this_year >= on else this_year.replace(year=on.year + 1)


def has_business() -> bool:
    """Whether anybody has said who sells."""
    return Business.objects.exists()


@once_a_page
def business() -> BusinessRow:
    """The seller's row; the model's defaults with the name "Firewood" until one is saved."""
    row = Business.objects.order_by("id").first() or Business(name="Firewood")
    return from_row(BusinessRow, row)
