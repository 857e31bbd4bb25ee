from django.db import migrations, models


def as_they_were_read(apps, schema_editor):
    """Sheets of a metric place were charged by the km until now: they stay so."""
    here = schema_editor.connection.alias
    if apps.get_model("inventory", "Business").objects.using(here).filter(place_key="metric").exists():
        apps.get_model("orders", "PriceSheet").objects.using(here).update(is_in_km=True)


class Migration(migrations.Migration):
    dependencies = [("inventory", "0022_picture"), ("orders", "0020_customer_called_on")]

    operations = [
        migrations.AddField("pricesheet", "is_in_km", models.BooleanField(default=False)),
        migrations.RunPython(as_they_were_read, migrations.RunPython.noop),
    ]
