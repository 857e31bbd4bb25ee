"""The shared cache's table: rate limits and throttles count across processes in it."""

from django.core.management import call_command
from django.db import migrations


def make_table(apps, schema_editor):
    call_command("createcachetable", database=schema_editor.connection.alias, verbosity=0)


def drop_table(apps, schema_editor):
    schema_editor.execute("DROP TABLE IF EXISTS firewood_cache")


class Migration(migrations.Migration):
    initial = True
    dependencies = []
    operations = [migrations.RunPython(make_table, drop_table)]
