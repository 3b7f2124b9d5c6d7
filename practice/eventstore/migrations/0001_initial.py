from django.db import migrations, models


def make_sequence(apps, editor):  # type: ignore[no-untyped-def]
    """Positions come from a sequence on PostgreSQL, from a counter row elsewhere."""
    if editor.connection.vendor == "postgresql":
        editor.execute("CREATE SEQUENCE IF NOT EXISTS eventstore_position")


def drop_sequence(apps, editor):  # type: ignore[no-untyped-def]
    """Undo ``make_sequence``."""
    if editor.connection.vendor == "postgresql":
        editor.execute("DROP SEQUENCE IF EXISTS eventstore_position")


class Migration(migrations.Migration):

    initial = True

    dependencies = [
    ]

    operations = [
        migrations.CreateModel(
            name='PositionCounter',
            fields=[
                ('id', models.PositiveSmallIntegerField(primary_key=True, serialize=False)),
                ('value', models.BigIntegerField()),
            ],
        ),
        migrations.CreateModel(
            name='StreamHead',
            fields=[
                ('stream', models.UUIDField(primary_key=True, serialize=False)),
                ('version', models.PositiveIntegerField(default=0)),
                ('mac', models.BinaryField(default=b'')),
                ('recorded_at', models.DateTimeField(null=True)),
                ('starts_at_version', models.PositiveIntegerField(default=1)),
            ],
        ),
        migrations.CreateModel(
            name='StoredEvent',
            fields=[
                ('position', models.BigIntegerField(primary_key=True, serialize=False)),
                ('stream', models.UUIDField()),
                ('version', models.PositiveIntegerField()),
                ('type', models.CharField(max_length=80)),
                ('type_version', models.PositiveSmallIntegerField()),
                ('occurred_at', models.DateTimeField()),
                ('recorded_at', models.DateTimeField()),
                ('actor', models.UUIDField()),
                ('request_id', models.CharField(max_length=64)),
                ('key_id', models.UUIDField()),
                ('ciphertext', models.BinaryField()),
                ('mac_key_id', models.CharField(max_length=16)),
                ('mac', models.BinaryField()),
            ],
            options={
                'constraints': [models.UniqueConstraint(fields=('stream', 'version'), name='event_stream_version')],
            },
        ),
        migrations.RunPython(make_sequence, drop_sequence),
    ]
