"""Three doors: customers at the root, the seller, the driver."""

from allauth.account.decorators import secure_admin_login
from allauth.account.views import login as log_in
from django.contrib import admin
from django.contrib.auth.views import LogoutView
from django.urls import include, path

from firewood_site import calendar_feed, join, roads_views, site_views
from firewood_site.driver.views import manifest, service_worker
from firewood_site.languages import choose_language

admin.site.login = secure_admin_login(admin.site.login)  # type: ignore[method-assign]

urlpatterns = [
    path("", include("firewood_site.customer.urls")),
    path("seller/", include("firewood_site.seller.urls")),
    path("driver/", include("firewood_site.driver.urls")),
    path("roads/tiles/<int:z>/<int:x>/<int:y>.svg", roads_views.tile, name="map-tile"),
    path("roads/streets", roads_views.street_search, name="street-search"),
    path("roads/near", roads_views.where_am_i, name="where-am-i"),
    path("calendar/<str:token>.ics", calendar_feed.feed, name="calendar-feed"),
    path("log-in", log_in, name="log-in"),
    path("join/<str:token>", join.join, name="join"),
    path("language", choose_language, name="choose-language"),
    path("log-out", LogoutView.as_view(), name="log-out"),
    path("staff/", include("allauth.account.urls")),
    path("staff/", include("allauth.mfa.urls")),
    path("staff/sessions/", include("allauth.usersessions.urls")),
    path("sw.js", service_worker, name="service-worker"),
    path("manifest.webmanifest", manifest, name="manifest"),
    path("favicon.ico", site_views.favicon),
    path("health", site_views.health, name="health"),
    path("admin/", admin.site.urls),
]

handler404 = site_views.not_found
handler403 = site_views.refused
handler500 = site_views.broken
