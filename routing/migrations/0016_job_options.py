from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("routing", "0015_season_guesses_and_outlooks"),
    ]

    operations = [
        migrations.AddField(
            model_name="planjob",
            name="options",
            field=models.JSONField(blank=True, default=dict),
        ),
    ]
