import django.db.models.deletion
from django.db import migrations, models


def fill(apps, schema_editor):
    """Events of drops still on a run take their drop's order."""
    events = apps.get_model("routing", "DriverEvent")
    for event in events.objects.using(schema_editor.connection.alias).filter(stop__isnull=False, order=None).select_related("stop"):
        event.order_id = event.stop.order_id
        event.save(update_fields=["order"])


class Migration(migrations.Migration):
    """An event keeps its order when its drop is planned away."""

    dependencies = [("routing", "0005_driver_event_input"), ("orders", "0001_initial")]

    operations = [
        migrations.AddField(
            model_name="driverevent",
            name="order",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.SET_NULL,
                related_name="events",
                to="orders.order",
            ),
        ),
        migrations.RunPython(fill, migrations.RunPython.noop),
    ]
