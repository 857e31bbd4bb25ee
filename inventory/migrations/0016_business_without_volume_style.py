from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("inventory", "0015_lot_short")]

    operations = [migrations.RemoveField("business", "volume_style")]
