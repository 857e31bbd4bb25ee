"""Wood in hand: lots, measuring, drying, work, yards and ground."""

from django.urls import path

from firewood_site.seller.views import (
    figures,
    lots,
    measure,
    moves,
    readiness,
    readings,
    stock,
    wood_photos,
    work,
    yards,
)

urlpatterns = [
    path("wood", stock.stock, name="stock"),
    path("wood/count", stock.stock_count, name="stock-count"),
    path("wood/new", stock.lot_new, name="lot-new"),
    path("lots/<str:code>", lots.lot, name="lot"),
    path("lots/<str:code>/reading", readings.reading, name="reading"),
    path("lots/<str:code>/move", moves.move, name="move"),
    path("lots/<str:code>/change/<slug:act>", lots.lot_change, name="lot-change"),
    path("lots/<str:code>/holds/<int:hold_id>/release", lots.hold_release, name="hold-release"),
    path("measure", measure.measure, name="measure"),
    path("restack", measure.restack, name="restack"),
    path("readiness", readiness.readiness, name="readiness"),
    path("work", work.work, name="work"),
    path("work/expense", work.expense, name="expense"),
    path("work/<int:entry_id>/remove", work.work_remove, name="work-remove"),
    path("work/expense/<int:expense_id>/remove", work.expense_remove, name="expense-remove"),
    path("yards", yards.yards, name="yards"),
    path("yards/new", yards.yard, name="yard-new"),
    path("yards/<int:yard_id>", yards.yard, name="yard"),
    path("yards/<int:yard_id>/air", yards.yard_air, name="yard-air"),
    path("ground", yards.units, name="units"),
    path("ground/new", yards.unit, name="unit-new"),
    path("ground/<int:unit_id>", yards.unit, name="unit"),
    path("photos/<slug:kind>/<str:key>/add", wood_photos.photo_add, name="wood-photo-add"),
    path("photos/<slug:kind>/<str:key>/<int:photo_id>.jpg", wood_photos.photo, name="wood-photo"),
    path("woods", figures.species, name="species"),
]
