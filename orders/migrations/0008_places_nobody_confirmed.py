from django.db import migrations


def mark(apps, schema_editor):
    """A spot that was only the middle of a street or a town was never shown to anybody."""
    places = apps.get_model("orders", "Place").objects.using(schema_editor.connection.alias)
    places.filter(is_exact=False).update(is_confirmed=False)


class Migration(migrations.Migration):
    dependencies = [("orders", "0007_place_is_confirmed")]

    operations = [migrations.RunPython(mark, migrations.RunPython.noop)]
