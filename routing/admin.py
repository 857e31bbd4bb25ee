"""The tables of the road for a look behind the pages; plans and phones' words are only read here."""

from django.contrib import admin

from inventory.admin import ReadOnly
from routing.models import (
    BroughtForward,
    Day,
    DriverEvent,
    Load,
    PlanJob,
    Rig,
    RoadExtract,
    RoadLimit,
    Run,
    RunningCost,
    Shut,
    Stop,
)


@admin.register(Rig)
class RigAdmin(admin.ModelAdmin):
    list_display = ("name", "payload_lb", "capacity_ft3", "heap_number", "works")
    readonly_fields = ("payload_lb", "capacity_ft3")


@admin.register(RunningCost)
class RunningCostAdmin(admin.ModelAdmin):
    list_display = ("rig", "from_on", "loaded_mile", "empty_mile", "wage_hour")


@admin.register(Shut)
class ShutAdmin(admin.ModelAdmin):
    list_display = ("kind", "yard", "town", "from_on", "to_on", "reason")


@admin.register(RoadLimit)
class RoadLimitAdmin(admin.ModelAdmin):
    list_display = ("name", "whole_rig_lb", "note")
    readonly_fields = ("lat", "lon")


@admin.register(BroughtForward)
class BroughtForwardAdmin(admin.ModelAdmin):
    list_display = ("month", "cords", "revenue", "miles")


@admin.register(Day)
class DayAdmin(ReadOnly):
    list_display = ("on", "state", "cost_cents", "proof", "version")


@admin.register(Run)
class RunAdmin(ReadOnly):
    list_display = ("day", "rig", "leaves_at", "home_at", "cost_cents")


@admin.register(Load)
class LoadAdmin(ReadOnly):
    list_display = ("run", "sequence", "yard", "cords", "weight_lb")


@admin.register(Stop)
class StopAdmin(ReadOnly):
    list_display = ("load", "sequence", "order", "part", "cords", "state")
    list_filter = ("state",)


@admin.register(DriverEvent)
class DriverEventAdmin(ReadOnly):
    list_display = ("received_at", "happened_at", "kind", "who", "outcome", "message")
    list_filter = ("outcome", "kind")


@admin.register(PlanJob)
class PlanJobAdmin(ReadOnly):
    list_display = ("made_at", "first_on", "last_on", "state", "best_cents", "bound_cents", "message")


@admin.register(RoadExtract)
class RoadExtractAdmin(ReadOnly):
    list_display = ("name", "loaded_at", "addresses", "is_current")
