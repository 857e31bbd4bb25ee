"""What is written down about somebody who drives or helps."""

from dataclasses import dataclass
from datetime import time
from decimal import Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class DriverFigures:
    """The one list of a driver's columns that form, row and services share.

    Units
        wage_hour: dollars; None = the wage of the rig's running costs. longest_hours: paid, in all runs of a
        day. break_minutes: unpaid, once in a run, begun between break_from and break_to. most_cords: a day;
        None = no limit. signs_in_as: who sees this person's runs first; "" = nobody.
    """

    name: str
    wage_hour: Decimal | None = None
    starts_at: time = time(7)
    ends_at: time = time(18)
    longest_hours: Decimal = Decimal(10)
    break_minutes: int = 0
    break_from: time = time(11, 30)
    break_to: time = time(13, 30)
    most_cords: Decimal | None = None
    works: bool = True
    signs_in_as: str = ""
