"""Three doors: customers at the root, the seller, the driver."""

from django.contrib import admin
from django.contrib.auth.views import LogoutView
from django.urls import include, path

from firewood_site import roads_views, site_views
from firewood_site.driver.views import manifest, service_worker

urlpatterns = [
    path("", include("firewood_site.customer.urls")),
    path("seller/", include("firewood_site.seller.urls")),
    path("driver/", include("firewood_site.driver.urls")),
    path("roads/tiles/<int:z>/<int:x>/<int:y>.svg", roads_views.tile, name="map-tile"),
    path("roads/streets", roads_views.street_search, name="street-search"),
    path("roads/near", roads_views.where_am_i, name="where-am-i"),
    path("log-in", site_views.LogIn.as_view(), name="log-in"),
    path("log-out", LogoutView.as_view(), name="log-out"),
    path("sw.js", service_worker, name="service-worker"),
    path("manifest.webmanifest", manifest, name="manifest"),
    path("favicon.ico", site_views.favicon),
    path("health", site_views.health, name="health"),
    path("admin/", admin.site.urls),
]

handler404 = site_views.not_found
handler403 = site_views.refused
handler500 = site_views.broken
