from django.db import migrations


class Migration(migrations.Migration):
    """What a phone sent is called input, as in the code."""

    dependencies = [("routing", "0004_rig_truck")]

    operations = [migrations.RenameField(model_name="driverevent", old_name="said", new_name="input")]
