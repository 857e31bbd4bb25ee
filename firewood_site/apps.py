from django.apps import AppConfig, apps
from django.db.models.signals import post_migrate


class FirewoodSiteConfig(AppConfig):
    name = "firewood_site"
    verbose_name = "Pages"

    def ready(self) -> None:
        from firewood_site.people import make_groups  # its tables are there only now
        from firewood_site.staff_door import record_the_door

        record_the_door()
        post_migrate.connect(make_groups, sender=apps.get_app_config("auth"))
