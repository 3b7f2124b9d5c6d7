"""Fills the local day of the last moment in sessions booked before the column was there.

``last_local_day`` is the one rule, also of the projection: a second text of it could differ.
"""

from django.db import migrations, transaction

from practice.core.localtime import last_local_day

BATCH = 1_000


def fill(apps, schema_editor):
    """Batch by batch, each in a transaction of its own: people may work meanwhile."""
    alias = schema_editor.connection.alias
    sessions = apps.get_model("client_sessions", "Session").objects.using(alias)
    while True:
        with transaction.atomic(using=alias):
            rows = list(
                sessions.select_for_update()
                .filter(local_end_date=None)
                .only("ends_at", "zone")
                .order_by("pk")[:BATCH]
            )
            for row in rows:
                row.local_end_date = last_local_day(row.ends_at, row.zone)
            sessions.bulk_update(rows, ["local_end_date"])
        if len(rows) < BATCH:
            return


class Migration(migrations.Migration):
    atomic = False

    dependencies = [
        ("client_sessions", "0010_travel_times"),
    ]

    operations = [
        migrations.RunPython(fill, migrations.RunPython.noop, elidable=True),
    ]
