from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("practice", "0005_read_table_builds"),
    ]

    operations = [
        migrations.RemoveConstraint(
            model_name="workinghours",
            name="working_hours_once",
        ),
        migrations.AddConstraint(
            model_name="workinghours",
            constraint=models.UniqueConstraint(
                fields=("practitioner", "facility", "weekday", "starts"), name="working_hours_once"
            ),
        ),
    ]
