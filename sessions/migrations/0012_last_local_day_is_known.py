from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("client_sessions", "0011_last_local_days"),
    ]

    operations = [
        migrations.AlterField(
            model_name="session",
            name="local_end_date",
            field=models.DateField(),
        ),
    ]
