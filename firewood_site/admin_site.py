"""The look behind the pages: the tables of the books, grouped by wood, sale and road."""

from typing import Any

from django.apps import apps
from django.contrib.admin import AdminSite
from django.contrib.admin.apps import AdminConfig
from django.http import HttpRequest

GROUPS = {"inventory": "Wood", "orders": "Sale", "routing": "Road", "auth": "People"}
# Where Django's own plural is no word, or the pages say another: the name of one and of many.
NAMES = {
    "inventory.AuditEntry": ("audit entry", "audit entries"),
    "inventory.Business": ("seller", "seller"),
    "inventory.Unit": ("ground", "ground"),
    "routing.BroughtForward": ("month of older books", "months of older books"),
    "routing.Shut": ("closure", "closures"),
    "django_tasks_database.DBTaskResult": ("background job", "background jobs"),
}


class BooksAdminConfig(AdminConfig):
    default_site = "firewood_site.admin_site.BooksAdmin"

    def ready(self) -> None:
        super().ready()
        for label, (one, many) in NAMES.items():
            names = apps.get_model(label)._meta
            names.verbose_name, names.verbose_name_plural = one, many


class BooksAdmin(AdminSite):
    """Our own head and order of things: wood first, then sale and road, then people, then the rest."""

    site_header = site_title = "Behind the pages"
    index_title = "The books, table by table"
    site_url = "/seller/"

    def get_app_list(self, request: HttpRequest, app_label: str | None = None) -> list[Any]:
        groups = super().get_app_list(request, app_label)
        places = {label: place for place, label in enumerate(GROUPS)}
        for app in groups:
            app["name"] = GROUPS.get(app["app_label"], app["name"])
        return sorted(groups, key=lambda app: places.get(app["app_label"], len(places)))
