"""The driver's addresses."""

from django.urls import path, register_converter
from django.urls.converters import IntConverter

from firewood_site.driver import events, views


class RowConverter(IntConverter):
    """A number an id column can hold."""

    regex = "[0-9]{1,18}"


register_converter(RowConverter, "row")

urlpatterns = [
    path("", views.run_today, name="run-today"),
    path("run/<row:run_id>", views.run, name="run"),
    path("run/<row:run_id>.gpx", views.run_gpx, name="run-gpx"),
    path("load/<row:load_id>", views.load_card, name="load-card"),
    path("drop/<row:stop_id>", views.drop_card, name="drop"),
    path("told", events.told, name="driver-told"),
    path("events", events.take_events, name="driver-events"),
    path("resolve", events.resolve, name="driver-resolve"),
    path("photo", events.take_photo, name="driver-photo"),
]
