from django.db import migrations


def unpack(apps, schema_editor):
    jobs = apps.get_model("routing", "PlanJob").objects.using(schema_editor.connection.alias)
    for job in jobs.exclude(pins=[]):
        job.options = job.pins[0]
        job.save(update_fields=["options"])


def pack(apps, schema_editor):
    jobs = apps.get_model("routing", "PlanJob").objects.using(schema_editor.connection.alias)
    for job in jobs.exclude(options={}):
        job.pins = [job.options]
        job.save(update_fields=["pins"])


class Migration(migrations.Migration):
    dependencies = [
        ("routing", "0016_job_options"),
    ]

    operations = [migrations.RunPython(unpack, pack)]
