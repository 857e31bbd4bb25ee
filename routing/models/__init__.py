"""The tables of the road. Django looks for models here."""

from routing.models.days import Day, PlanJob
from routing.models.events import DriverEvent
from routing.models.rigs import Rig, RunningCost
from routing.models.roads import CachedLeg, RoadExtract
from routing.models.runs import Load, Run, Stop
from routing.models.seasons import BroughtForward
from routing.models.shuts import RoadLimit, Shut

__all__ = [
    "BroughtForward",
    "CachedLeg",
    "Day",
    "DriverEvent",
    "Load",
    "PlanJob",
    "Rig",
    "RoadExtract",
    "RoadLimit",
    "Run",
    "RunningCost",
    "Shut",
    "Stop",
]
