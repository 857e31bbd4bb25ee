"""The look behind the pages: the tables of the books, grouped by wood, sale and road."""

from typing import Any

from django.contrib.admin import AdminSite
from django.contrib.admin.apps import AdminConfig
from django.http import HttpRequest

GROUPS = {"inventory": "Wood", "orders": "Sale", "routing": "Road", "auth": "People"}


class BooksAdminConfig(AdminConfig):
    default_site = "firewood_site.admin_site.BooksAdmin"


class BooksAdmin(AdminSite):
    """Our own head and order of things: wood first, then sale and road, then people, then the rest."""

    site_header = site_title = "Behind the pages"
    index_title = "The books, table by table"
    site_url = "/seller/"

    def get_app_list(self, request: HttpRequest, app_label: str | None = None) -> list[Any]:
        apps = super().get_app_list(request, app_label)
        places = {label: place for place, label in enumerate(GROUPS)}
        for app in apps:
            app["name"] = GROUPS.get(app["app_label"], app["name"])
        return sorted(apps, key=lambda app: places.get(app["app_label"], len(places)))
