from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("orders", "0008_places_nobody_confirmed")]

    operations = [
        migrations.RenameField("claim", "words", "message"),
        migrations.RenameField("letter", "trouble", "problem"),
    ]
