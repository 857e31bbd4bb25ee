from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("orders", "0012_least_delivery")]

    operations = [
        migrations.AddField(
            model_name="paymentkind",
            name="instructions",
            field=models.CharField(blank=True, max_length=300),
        ),
    ]
