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

admin.site.register(
    Rig,
    list_display=("name", "payload_lb", "capacity_ft3", "heap_number", "works"),
    readonly_fields=("payload_lb", "capacity_ft3"),
)
admin.site.register(RunningCost, list_display=("rig", "from_on", "loaded_mile", "empty_mile", "wage_hour"))
admin.site.register(Shut, list_display=("kind", "yard", "town", "from_on", "to_on", "reason"))
admin.site.register(RoadLimit, list_display=("name", "whole_rig_lb", "note"), readonly_fields=("lat", "lon"))
admin.site.register(BroughtForward, list_display=("month", "cords", "revenue", "miles"))
admin.site.register(Day, ReadOnly, list_display=("on", "state", "cost_cents", "proof", "version"))
admin.site.register(Run, ReadOnly, list_display=("day", "rig", "leaves_at", "home_at", "cost_cents"))
admin.site.register(Load, ReadOnly, list_display=("run", "sequence", "yard", "cords", "weight_lb"))
admin.site.register(
    Stop,
    ReadOnly,
    list_display=("load", "sequence", "order", "part", "cords", "state"),
    list_filter=("state",),
)
admin.site.register(
    DriverEvent,
    ReadOnly,
    list_display=("received_at", "happened_at", "kind", "who", "outcome", "message"),
    list_filter=("outcome", "kind"),
)
admin.site.register(
    PlanJob,
    ReadOnly,
    list_display=("made_at", "first_on", "last_on", "state", "best_cents", "bound_cents", "message"),
)
admin.site.register(RoadExtract, ReadOnly, list_display=("name", "loaded_at", "addresses", "is_current"))
