"""What it earned, what is to be done, and the settings."""

from django.urls import path

from firewood_site.seller.views import (
    acre,
    bring_in,
    find,
    guide,
    margins,
    market,
    pool,
    season,
    set_up,
    settings,
    texts,
    today,
    worth,
)

urlpatterns = [
    path("", today.today_page, name="today"),
    path("find", find.find, name="find"),
    path("find/guide", guide.guide, name="guide"),
    path("find/guide/<slug:slug>", guide.one_page, name="guide-page"),
    path("parts/<slug:part>/<slug:answer>", find.part_told, name="part-told"),
    path("set-up", set_up.set_up, name="set-up"),
    path("set-up/person/<int:user_id>/role", set_up.role, name="set-up-role"),
    path("set-up/person/<int:user_id>/invite", set_up.invite, name="set-up-invite"),
    path("set-up/roads/progress", set_up.roads_progress, name="set-up-roads-progress"),
    path("set-up/bring-in", bring_in.bring, name="bring-in"),
    path("set-up/messages", texts.texts, name="texts"),
    path("set-up/settings", settings.settings, name="settings"),
    path("set-up/settings/books.zip", settings.export_files, name="export-files"),
    path("set-up/audit", settings.audit, name="audit"),
    path("worth/margins", margins.margins, name="margins"),
    path("worth/margins/load/<int:load_id>", margins.load_margin, name="load-margin"),
    path("worth/margins/order/<int:number>", margins.order_margin, name="order-margin"),
    path("worth", worth.worth, name="worth"),
    path("worth/near-or-far", market.haul, name="haul"),
    path("worth/pool", pool.pool, name="pool"),
    path("worth/pool/put", pool.put, name="pool-put"),
    path("worth/patches", acre.acre_sheet, name="acre-sheet"),
    path("worth/season", season.season, name="season"),
    path("worth/ahead", season.season_ahead, name="season-ahead"),
    path("set-up/<slug:part>", set_up.add, name="set-up-add"),
    path("set-up/<slug:part>/<int:row_id>/remove", set_up.remove, name="set-up-remove"),
]
