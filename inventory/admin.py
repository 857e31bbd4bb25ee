"""The tables of the wood for a look behind the pages; ledgers can be read and not written."""

from typing import Any

from django.contrib import admin
from django.http import HttpRequest

from inventory.models import (
    AuditEntry,
    Business,
    Expense,
    Hold,
    Lot,
    Measurement,
    Movement,
    Photo,
    Reading,
    Restack,
    Unit,
    WorkEntry,
    Yard,
)


class ReadOnly(admin.ModelAdmin):
    """Ledgers, and columns kept in step by services, are only looked at here."""

    def has_add_permission(self, request: HttpRequest) -> bool:
        return False

    def has_change_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False

    def has_delete_permission(self, request: HttpRequest, obj: Any = None) -> bool:
        return False


admin.site.register(
    AuditEntry,
    ReadOnly,
    list_display=("at", "who", "verb", "thing", "note"),
    search_fields=("thing", "who", "note"),
)
admin.site.register(
    Lot,
    ReadOnly,
    list_display=("code", "name", "yard", "on_hand_cords", "firm_cords", "soft_cords", "kept_cords", "sale"),
    list_select_related=("yard",),
    search_fields=("code", "name"),
)
admin.site.register(
    Movement,
    ReadOnly,
    list_display=("on", "lot", "kind", "cords", "reference", "who"),
    list_select_related=("lot",),
    search_fields=("lot__code", "reference"),
)
admin.site.register(
    Hold,
    ReadOnly,
    list_display=("reference", "lot", "cords", "kind", "state", "lapses_on"),
    list_select_related=("lot",),
    search_fields=("reference", "lot__code"),
)
admin.site.register([Expense, Measurement, Photo, Reading, Restack], ReadOnly)
admin.site.register(Business, readonly_fields=("parts_told", "pinned_today"))
admin.site.register(Unit, readonly_fields=("sold_before",))
admin.site.register(WorkEntry, readonly_fields=("logged", "who"))
admin.site.register(Yard)
