import uuid
from django.db import migrations, models


from sessions.calendar import guards


def install_guards(apps, schema_editor):
    """Exclusion constraints on PostgreSQL, aborting triggers on SQLite: no one in two places."""
    guards.install_session_guards(schema_editor.connection.alias)


def remove_guards(apps, schema_editor):
    guards.drop_session_guards(schema_editor.connection.alias)


class Migration(migrations.Migration):
    initial = True

    dependencies = []

    operations = [
        migrations.CreateModel(
            name="Circumferences",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("session_id", models.UUIDField(null=True)),
                ("interval_cm", models.FloatField()),
                ("left", models.JSONField()),
                ("right", models.JSONField()),
                ("left_ml", models.FloatField()),
                ("right_ml", models.FloatField()),
                ("baseline", models.BooleanField()),
                ("new_heaviness", models.BooleanField()),
                ("stage", models.CharField(max_length=4)),
                ("stage_side", models.CharField(max_length=32)),
                ("rater_id", models.UUIDField()),
                ("taken_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Goal",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("kind", models.CharField(max_length=32)),
                ("movement", models.CharField(max_length=40)),
                ("side", models.CharField(max_length=32)),
                ("degrees", models.SmallIntegerField(null=True)),
                ("finding", models.CharField(max_length=40)),
                ("pain_at_most", models.SmallIntegerField(null=True)),
                ("basis", models.CharField(max_length=20)),
                ("source", models.TextField()),
                ("edition", models.CharField(max_length=80)),
                ("reason", models.TextField()),
                ("reading_id", models.UUIDField(null=True)),
                ("set_at", models.DateTimeField()),
                ("replaced_by", models.UUIDField(null=True)),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="HomeExercise",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("prescription_id", models.UUIDField(null=True)),
                ("stretch", models.CharField(max_length=60)),
                ("name", models.TextField()),
                ("catalogue_version", models.PositiveIntegerField()),
                ("side", models.CharField(max_length=32)),
                ("dose", models.JSONField()),
                ("stop_signs", models.JSONField()),
                ("assigned_on", models.DateField()),
                ("assigned_by", models.UUIDField()),
                ("session_id", models.UUIDField(null=True)),
                ("discontinued_at", models.DateTimeField(null=True)),
                ("discontinued_reason", models.TextField(default="")),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="NoteDraft",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("session_id", models.UUIDField(unique=True)),
                ("practitioner_id", models.UUIDField(db_index=True)),
                ("revision", models.PositiveIntegerField(default=0)),
                ("sealed", models.BinaryField(default=b"")),
                ("unsent", models.BinaryField(default=b"")),
                ("updated_at", models.DateTimeField()),
                ("closed", models.BooleanField(default=False)),
            ],
        ),
        migrations.CreateModel(
            name="PostureFinding",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("session_id", models.UUIDField(null=True)),
                ("finding", models.CharField(max_length=40)),
                ("description", models.TextField()),
                ("side", models.CharField(max_length=32)),
                ("severity", models.CharField(max_length=32)),
                ("observer_id", models.UUIDField()),
                ("observed_at", models.DateTimeField()),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Prescription",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("stretch", models.CharField(max_length=60)),
                ("name", models.TextField()),
                ("catalogue_version", models.PositiveIntegerField()),
                ("side", models.CharField(max_length=32)),
                ("techniques", models.JSONField()),
                ("doses", models.JSONField()),
                ("movements", models.JSONField()),
                ("findings", models.JSONField()),
                ("eases_pain", models.BooleanField()),
                ("dose_warnings", models.JSONField()),
                ("reason", models.TextField()),
                ("facility_id", models.UUIDField(null=True)),
                ("status", models.CharField(max_length=32)),
                ("prescribed_at", models.DateTimeField()),
                ("started_at", models.DateTimeField(null=True)),
                ("start_in_error", models.TextField(default="")),
                ("active_since", models.DateTimeField(null=True)),
                ("discharged_at", models.DateTimeField(null=True)),
                ("discharged_on", models.DateField(null=True)),
                ("at_goal", models.BooleanField(null=True)),
                ("discharge_reason", models.TextField(default="")),
                ("references", models.JSONField(default=list)),
                ("resumed", models.PositiveIntegerField(default=0)),
                ("resumed_reason", models.TextField(default="")),
                ("ended_at", models.DateTimeField(null=True)),
                ("ended_reason", models.TextField(default="")),
            ],
            options={
                "abstract": False,
            },
        ),
        migrations.CreateModel(
            name="Note",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("session_id", models.UUIDField(db_index=True)),
                ("practitioner_id", models.UUIDField(db_index=True)),
                ("credential", models.CharField(max_length=32)),
                ("facility_id", models.UUIDField()),
                ("started_at", models.DateTimeField()),
                ("started_from", models.CharField(max_length=32)),
                ("ended_at", models.DateTimeField()),
                ("ended_from", models.CharField(max_length=32)),
                ("booked_minutes", models.IntegerField()),
                ("signed_at", models.DateTimeField()),
                ("local_date", models.DateField()),
                ("zone", models.CharField(max_length=64)),
                ("subjective", models.TextField()),
                ("objective", models.TextField()),
                ("assessment", models.TextField()),
                ("plan", models.TextField()),
                ("split_reason", models.TextField(default="")),
                ("minutes", models.JSONField(default=dict)),
                ("not_counted_minutes", models.IntegerField()),
                ("attended_minutes", models.IntegerField()),
                ("lines", models.JSONField(default=list)),
                ("outside", models.JSONField(default=list)),
                ("is_outside", models.BooleanField(default=False)),
                ("addenda", models.JSONField(default=list)),
                ("evaluated_with", models.JSONField(default=dict)),
                ("supervisor_id", models.UUIDField(null=True)),
                ("supervision_id", models.UUIDField(db_index=True, null=True)),
                ("warnings", models.JSONField(default=list)),
                ("entered_in_error", models.TextField(default="")),
                ("current_minutes", models.JSONField(default=dict)),
                ("current_not_counted_minutes", models.IntegerField()),
                ("current_attended_minutes", models.IntegerField()),
                ("current_started_at", models.DateTimeField()),
                ("current_ended_at", models.DateTimeField()),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        condition=models.Q(("is_outside", True)),
                        fields=["signed_at", "id"],
                        name="note_outside",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Reading",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("session_id", models.UUIDField(null=True)),
                ("movement", models.CharField(max_length=40)),
                ("side", models.CharField(max_length=32)),
                ("motion", models.CharField(max_length=32)),
                ("degrees", models.SmallIntegerField()),
                ("position", models.CharField(max_length=32)),
                ("instrument", models.CharField(max_length=32)),
                ("rater_id", models.UUIDField()),
                ("pain", models.SmallIntegerField(null=True)),
                ("assisted", models.BooleanField()),
                ("confirmed_unlikely", models.BooleanField()),
                ("new_pain", models.BooleanField()),
                ("new_swelling", models.BooleanField()),
                ("explanation", models.TextField()),
                ("taken_at", models.DateTimeField()),
                ("recorded_at", models.DateTimeField()),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        fields=["client_id", "taken_at", "recorded_at", "version"],
                        name="reading_by_time",
                    )
                ],
            },
        ),
        migrations.CreateModel(
            name="Recheck",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("prescription_id", models.UUIDField()),
                ("facility_id", models.UUIDField(null=True)),
                ("practitioner_id", models.UUIDField(null=True)),
                ("months", models.PositiveSmallIntegerField()),
                ("due_on", models.DateField()),
                ("due_at", models.DateTimeField()),
                ("call_at", models.DateTimeField()),
                ("status", models.CharField(max_length=32)),
                ("on_call_list_at", models.DateTimeField(null=True)),
                ("channel", models.CharField(default="", max_length=32)),
                ("covered_by_session_id", models.UUIDField(null=True)),
                ("closed_at", models.DateTimeField(null=True)),
                ("skipped_reason", models.TextField(default="")),
                ("passed", models.BooleanField(default=False)),
                ("refer", models.BooleanField(default=False)),
                ("evaluations", models.JSONField(default=dict)),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(fields=["due_on", "id"], name="recheck_by_due"),
                    models.Index(
                        fields=["facility_id", "status", "due_on"], name="recheck_call_list"
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="Session",
            fields=[
                ("id", models.UUIDField(primary_key=True, serialize=False)),
                ("client_id", models.UUIDField(db_index=True)),
                ("version", models.PositiveIntegerField()),
                ("practitioner_id", models.UUIDField()),
                ("facility_id", models.UUIDField()),
                ("room_id", models.UUIDField(null=True)),
                ("starts_at", models.DateTimeField()),
                ("ends_at", models.DateTimeField()),
                ("local_date", models.DateField()),
                ("zone", models.CharField(max_length=64)),
                ("status", models.CharField(max_length=32)),
                ("purpose", models.CharField(max_length=32)),
                ("requested_mode", models.CharField(default="", max_length=32)),
                ("planned_mode", models.CharField(max_length=32)),
                ("widest_mode", models.CharField(max_length=32)),
                ("mode", models.CharField(max_length=32)),
                ("hands_on", models.CharField(max_length=32)),
                ("widest_hands_on", models.CharField(max_length=32)),
                ("closed", models.JSONField(default=list)),
                ("narrowed", models.JSONField(default=list)),
                ("before_day_flag", models.JSONField(null=True)),
                ("credential", models.CharField(max_length=32)),
                ("reasons", models.JSONField(default=list)),
                ("flagged", models.BooleanField(default=False)),
                ("flag_reasons", models.JSONField(default=list)),
                ("flag_cause", models.CharField(default="", max_length=64)),
                ("exception_id", models.UUIDField(null=True)),
                ("late_entry", models.BooleanField(default=False)),
                ("warnings", models.JSONField(default=list)),
                ("overlaps", models.JSONField(default=list)),
                ("hands_on_today", models.CharField(default="unanswered", max_length=32)),
                ("arrived_at", models.DateTimeField(null=True)),
                ("opened_at", models.DateTimeField(null=True)),
                ("stopped_at_minute", models.IntegerField(null=True)),
                ("cancelled_by", models.CharField(default="", max_length=32)),
                ("notice_minutes", models.IntegerField(null=True)),
                ("ended_reason", models.TextField(default="")),
                ("note_id", models.UUIDField(null=True)),
            ],
            options={
                "abstract": False,
                "indexes": [
                    models.Index(
                        fields=["client_id", "starts_at"],
                        name="session_booked",
                        condition=models.Q(("status", "booked")),
                    ),
                    models.Index(fields=["facility_id", "starts_at"], name="session_by_facility"),
                    models.Index(
                        fields=["practitioner_id", "starts_at"], name="session_by_practitioner"
                    ),
                    models.Index(fields=["room_id", "starts_at"], name="session_by_room"),
                    models.Index(fields=["starts_at", "id"], name="session_by_start"),
                ],
            },
        ),
        migrations.CreateModel(
            name="Stretch",
            fields=[
                (
                    "id",
                    models.UUIDField(
                        default=uuid.uuid4, editable=False, primary_key=True, serialize=False
                    ),
                ),
                ("revision", models.PositiveIntegerField(default=1)),
                ("code", models.CharField(max_length=60)),
                ("version", models.PositiveIntegerField(default=1)),
                ("content", models.JSONField()),
                ("is_active", models.BooleanField(default=True)),
            ],
            options={
                "constraints": [
                    models.UniqueConstraint(fields=("code", "version"), name="stretch_version_once")
                ],
            },
        ),
        migrations.RunPython(install_guards, remove_guards),
    ]
