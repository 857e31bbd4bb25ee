from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("routing", "0009_name_pickups_and_drivers")]

    operations = [
        migrations.RemoveField(model_name="rig", name="truck"),
        migrations.RemoveField(model_name="run", name="driver_name"),
    ]
