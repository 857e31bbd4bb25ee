from django.db import migrations


def name_the_job(apps, schema_editor):
    """Lines that say slash were counted as slash work by that word; the column says it from now on."""
    expenses = apps.get_model("inventory", "Expense").objects.using(schema_editor.connection.alias)
    expenses.filter(line__icontains="slash", job="").update(job="slash")


class Migration(migrations.Migration):
    dependencies = [
        ("inventory", "0005_expense_job"),
    ]

    operations = [migrations.RunPython(name_the_job, migrations.RunPython.noop)]
