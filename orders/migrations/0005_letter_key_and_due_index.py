import uuid

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("orders", "0004_letters_are_tried_again")]

    operations = [
        migrations.AlterField(
            model_name="letter", name="key", field=models.UUIDField(default=uuid.uuid4, unique=True)
        ),
        migrations.AddIndex(
            model_name="letter",
            index=models.Index(
                condition=models.Q(("sent_at__isnull", True)), fields=["due_at"], name="letter_due"
            ),
        ),
    ]
