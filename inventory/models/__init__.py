"""The tables of the wood. Django looks for models here."""

from inventory.models.audit import AuditEntry
from inventory.models.business import Business
from inventory.models.holds import Hold
from inventory.models.lots import Lot
from inventory.models.measures import Measurement, Reading, Restack
from inventory.models.movements import Movement
from inventory.models.thinning import Expense, Photo, Unit, WorkEntry
from inventory.models.yards import Yard

__all__ = [
    "AuditEntry",
    "Business",
    "Expense",
    "Hold",
    "Lot",
    "Measurement",
    "Movement",
    "Photo",
    "Reading",
    "Restack",
    "Unit",
    "WorkEntry",
    "Yard",
]
