from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [
        ("routing", "0017_job_options_out_of_their_list"),
    ]

    operations = [
        migrations.RemoveField(
            model_name="planjob",
            name="pins",
        ),
    ]
