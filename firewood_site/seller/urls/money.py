"""What it earned, what wants doing, and the settings."""

from django.urls import path

from firewood_site.seller.views import acre, margins, market, pool, season, settings, today, worth

urlpatterns = [
    path("", today.today_page, name="today"),
    path("settings", settings.settings, name="settings"),
    path("settings/books.zip", settings.export_files, name="export-files"),
    path("audit", settings.audit, name="audit"),
    path("margins", margins.margins, name="margins"),
    path("margins/load/<int:load_id>", margins.load_margin, name="load-margin"),
    path("margins/order/<int:number>", margins.order_margin, name="order-margin"),
    path("worth", worth.worth, name="worth"),
    path("haul", market.haul, name="haul"),
    path("pool", pool.pool, name="pool"),
    path("acre-sheet", acre.acre_sheet, name="acre-sheet"),
    path("season", season.season, name="season"),
]
