"""What it earned, what wants doing, and the settings."""

from django.urls import path

from firewood_site.seller.views import settings, today

urlpatterns = [
    path("", today.today_page, name="today"),
    path("settings", settings.settings, name="settings"),
    path("settings/books.zip", settings.export_files, name="export-files"),
    path("audit", settings.audit, name="audit"),
]
