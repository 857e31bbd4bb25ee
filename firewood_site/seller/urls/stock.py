"""Wood in hand: lots, measuring, drying, work, yards and ground."""

from django.urls import path

from firewood_site.seller.moved import moved
from firewood_site.seller.views import (
    figures,
    log,
    lots,
    readings,
    restacks,
    stock,
    wood_photos,
    work,
    yards,
)

urlpatterns = [
    path("wood", stock.stock, name="stock"),
    path("wood/count", moved("stock", "count"), name="stock-count"),
    path("lots/<str:code>", lots.lot, name="lot"),
    path("lots/<str:code>/reading", readings.reading, name="reading"),
    path("lots/<str:code>/change/<slug:act>", lots.lot_change, name="lot-change"),
    path("lots/<str:code>/holds/<int:hold_id>/release", lots.hold_release, name="hold-release"),
    path("set-up/heap-numbers", restacks.restack, name="restack"),
    path("readiness", moved("stock", "dry"), name="readiness"),
    path("log", log.log, name="log"),
    path("log/photo", log.log_photo, name="log-photo"),
    path("log/<uuid:key>/take-back", log.log_take_back, name="log-take-back"),
    path("log/work/<int:entry_id>", work.work_change, name="work-change"),
    path("log/expense", work.expense, name="expense"),
    path("log/work/<int:entry_id>/remove", work.work_remove, name="work-remove"),
    path("log/expense/<int:expense_id>/remove", work.expense_remove, name="expense-remove"),
    path("set-up/yards", yards.yards, name="yards"),
    path("set-up/yards/new", yards.yard, name="yard-new"),
    path("set-up/yards/<int:yard_id>", yards.yard, name="yard"),
    path("set-up/yards/<int:yard_id>/weather", yards.yard_weather, name="yard-weather"),
    path("set-up/ground", yards.units, name="units"),
    path("set-up/ground/new", yards.unit, name="unit-new"),
    path("set-up/ground/<int:unit_id>", yards.unit, name="unit"),
    path("photos/<slug:kind>/<str:key>/add", wood_photos.photo_add, name="wood-photo-add"),
    path("photos/<slug:kind>/<str:key>/<int:photo_id>/off", wood_photos.photo_off, name="wood-photo-off"),
    path("photos/<slug:kind>/<str:key>/<int:photo_id>.jpg", wood_photos.photo, name="wood-photo"),
    path("set-up/woods", figures.species, name="species"),
    path("set-up/woods/new", figures.species_own, name="species-new"),
    path("set-up/woods/<slug:key>", figures.species_own, name="species-own"),
    path("set-up/woods/<slug:key>/drop", figures.species_drop, name="species-drop"),
]
