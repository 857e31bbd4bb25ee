"""The sale's tables for whoever keeps the machine running; ledgers and tickets can only be looked at."""

from django.contrib import admin

from inventory.admin import ReadOnly
from orders.models import (
    Claim,
    Customer,
    Letter,
    Market,
    Order,
    Payment,
    PaymentKind,
    Place,
    PriceSheet,
    Quote,
    Ticket,
    Town,
    Uplift,
    WoodPrice,
)


class WoodPriceLines(admin.TabularInline):
    model = WoodPrice
    extra = 0


class UpliftLines(admin.TabularInline):
    model = Uplift
    extra = 0


admin.site.register(
    PriceSheet,
    list_display=("from_on", "note"),
    readonly_fields=("is_in_km",),
    inlines=(WoodPriceLines, UpliftLines),
)
admin.site.register(Market, list_display=("name", "key", "is_far", "minimum_cords", "is_delivered_price"))
admin.site.register(Town, list_display=("name", "market", "lat", "lon"))
admin.site.register(
    PaymentKind,
    list_display=("name", "key", "is_offered", "at_the_door", "order_by"),
    readonly_fields=("order_by",),
)
admin.site.register(
    Customer,
    ReadOnly,
    list_display=("name", "phone", "is_repeat", "pay_first"),
    search_fields=("name", "phone"),
)
admin.site.register(
    Order,
    ReadOnly,
    list_display=("number", "customer", "state", "wood", "cords", "total_dollars", "promised_on"),
    list_filter=("state", "market"),
    search_fields=("number", "customer__name"),
    list_select_related=("customer",),
)
admin.site.register([Claim, Letter, Payment, Place, Quote, Ticket], ReadOnly)
