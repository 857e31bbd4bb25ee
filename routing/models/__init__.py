"""The tables of the road. Django looks for models here."""

from routing.models.crews import Driver, Pickup
from routing.models.days import Day, PlanJob
from routing.models.events import DriverEvent
from routing.models.paces import LearnedPace
from routing.models.rigs import Rig, RunningCost
from routing.models.roads import CachedLeg, RoadExtract, RoadLoad
from routing.models.runs import Fill, Load, Run, Stop
from routing.models.seasons import BroughtForward, SeasonGuesses, SeasonOutlook
from routing.models.shuts import RoadLimit, RoadMark, Shut

__all__ = [
    "BroughtForward",
    "CachedLeg",
    "Day",
    "Driver",
    "DriverEvent",
    "Fill",
    "LearnedPace",
    "Load",
    "Pickup",
    "PlanJob",
    "Rig",
    "RoadExtract",
    "RoadLimit",
    "RoadLoad",
    "RoadMark",
    "Run",
    "RunningCost",
    "SeasonGuesses",
    "SeasonOutlook",
    "Shut",
    "Stop",
]
