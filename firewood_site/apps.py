from django.apps import AppConfig


class FirewoodSiteConfig(AppConfig):
    name = "firewood_site"
    verbose_name = "Pages"
