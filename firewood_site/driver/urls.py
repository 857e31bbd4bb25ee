from django.urls import path

from firewood_site.driver import events, views

urlpatterns = [
    path("", views.run_today, name="run-today"),
    path("run/<int:run_id>", views.run, name="run"),
    path("run/<int:run_id>.gpx", views.run_gpx, name="run-gpx"),
    path("load/<int:load_id>", views.load_card, name="load-card"),
    path("drop/<int:stop_id>", views.drop_card, name="drop"),
    path("told", events.told, name="driver-told"),
    path("events", events.take_events, name="driver-events"),
    path("photo", events.take_photo, name="driver-photo"),
]
