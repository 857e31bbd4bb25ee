from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("inventory", "0006_slash_expenses_by_job")]

    operations = [migrations.RenameField("weatherstation", "words", "description")]
