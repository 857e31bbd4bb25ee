"""Pickups and drivers that were names on rigs and runs become rows of their own."""

from django.apps.registry import Apps
from django.db import migrations
from django.db.backends.base.schema import BaseDatabaseSchemaEditor


def to_rows(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    rig, run = apps.get_model("routing", "Rig"), apps.get_model("routing", "Run")
    pickup, driver = apps.get_model("routing", "Pickup"), apps.get_model("routing", "Driver")
    for name in rig.objects.using(schema_editor.connection.alias).exclude(truck="").values_list("truck", flat=True).distinct():
        row, _ = pickup.objects.using(schema_editor.connection.alias).get_or_create(name=name)
        rig.objects.using(schema_editor.connection.alias).filter(truck=name).update(pickup=row)
    for name in run.objects.using(schema_editor.connection.alias).exclude(driver_name="").values_list("driver_name", flat=True).order_by().distinct():
        row, _ = driver.objects.using(schema_editor.connection.alias).get_or_create(name=name)
        run.objects.using(schema_editor.connection.alias).filter(driver_name=name).update(driver=row)


def to_names(apps: Apps, schema_editor: BaseDatabaseSchemaEditor) -> None:
    rig, run = apps.get_model("routing", "Rig"), apps.get_model("routing", "Run")
    for row in rig.objects.using(schema_editor.connection.alias).exclude(pickup=None).select_related("pickup"):
        rig.objects.using(schema_editor.connection.alias).filter(pk=row.pk).update(truck=row.pickup.name)
    for row in run.objects.using(schema_editor.connection.alias).exclude(driver=None).select_related("driver"):
        run.objects.using(schema_editor.connection.alias).filter(pk=row.pk).update(driver_name=row.driver.name)


class Migration(migrations.Migration):
    dependencies = [("routing", "0008_crews_and_fills")]

    operations = [migrations.RunPython(to_rows, to_names)]
