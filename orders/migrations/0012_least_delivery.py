from decimal import Decimal

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("orders", "0011_put_right")]

    operations = [
        # sheets in force keep their terms: nothing too small until the seller says so
        migrations.AddField(
            model_name="pricesheet",
            name="least_delivery",
            field=models.DecimalField(decimal_places=2, default=Decimal(0), max_digits=7),
        ),
        migrations.AlterField(
            model_name="pricesheet",
            name="least_delivery",
            field=models.DecimalField(decimal_places=2, default=Decimal(50), max_digits=7),
        ),
    ]
