from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("practice", "0004_calendar_exceptions"),
    ]

    operations = [
        migrations.CreateModel(
            name="ReadTableBuild",
            fields=[
                ("table", models.CharField(max_length=80, primary_key=True, serialize=False)),
                ("version", models.PositiveIntegerField()),
                ("columns", models.JSONField()),
                ("built_at", models.DateTimeField()),
            ],
        ),
    ]
