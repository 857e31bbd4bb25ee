from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("orders", "0014_claim_brought_by")]

    operations = [
        migrations.AlterField(
            model_name="claim",
            name="kind",
            field=models.CharField(
                choices=[
                    ("short", "short of wood"),
                    ("wet", "not dry"),
                    ("late", "late"),
                    ("damage", "damage at the drop"),
                    ("other_wood", "not the wood that was ordered"),
                    ("other", "something else"),
                ],
                max_length=10,
            ),
        ),
    ]
