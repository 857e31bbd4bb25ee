"""The tables of the wood. Django looks for models here."""

from inventory.models.audit import AuditEntry
from inventory.models.business import Business
from inventory.models.holds import Hold
from inventory.models.lots import Lot
from inventory.models.measures import DrySign, Measurement, Reading, Restack, ScaleTicket
from inventory.models.movements import Movement
from inventory.models.species import OwnSpecies
from inventory.models.staff import StaffLanguage
from inventory.models.thinning import Expense, LoggedWork, Photo, Unit, WorkEntry
from inventory.models.weather import WeatherStation, WeatherYear
from inventory.models.yards import Yard

__all__ = [
    "AuditEntry",
    "Business",
    "DrySign",
    "Expense",
    "Hold",
    "LoggedWork",
    "Lot",
    "Measurement",
    "Movement",
    "OwnSpecies",
    "Photo",
    "Reading",
    "Restack",
    "ScaleTicket",
    "StaffLanguage",
    "Unit",
    "WeatherStation",
    "WeatherYear",
    "WorkEntry",
    "Yard",
]
