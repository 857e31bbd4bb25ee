import uuid

from django.db import migrations, models
from django.utils import timezone


def name_each(apps, schema_editor):
    """Letters that waited when the outbox came are due at once; texts wait for the seller's phone."""
    Letter = apps.get_model("orders", "Letter")
    for letter in Letter.objects.using(schema_editor.connection.alias).all().iterator():
        letter.key = uuid.uuid4()
        if letter.way == "email" and letter.sent_at is None:
            letter.due_at = timezone.now()
        letter.save(update_fields=["key", "due_at"])


class Migration(migrations.Migration):
    dependencies = [("orders", "0003_lines_may_be_empty")]

    operations = [
        migrations.AlterModelOptions(name="letter", options={"ordering": ["-made_at", "-id"]}),
        migrations.AddField(
            model_name="letter", name="due_at", field=models.DateTimeField(blank=True, null=True)
        ),
        migrations.AddField(
            model_name="letter", name="tries", field=models.PositiveSmallIntegerField(default=0)
        ),
        migrations.AddField(
            model_name="letter", name="key", field=models.UUIDField(default=uuid.uuid4, null=True)
        ),
        migrations.RunPython(name_each, migrations.RunPython.noop),
    ]
