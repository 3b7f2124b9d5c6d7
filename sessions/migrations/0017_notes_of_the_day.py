from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ("client_sessions", "0016_red_flags_of_session"),
    ]

    operations = [
        migrations.AlterField(
            model_name="notedraft",
            name="session_id",
            field=models.UUIDField(),
        ),
        migrations.AddConstraint(
            model_name="notedraft",
            constraint=models.UniqueConstraint(
                fields=("session_id", "practitioner_id"), name="note_draft_once_an_author"
            ),
        ),
        migrations.AddField(
            model_name="note",
            name="cardio",
            field=models.JSONField(default=list),
        ),
        migrations.AddField(
            model_name="note",
            name="strength",
            field=models.JSONField(default=list),
        ),
        migrations.AddField(
            model_name="note",
            name="spans",
            field=models.JSONField(default=list),
        ),
        migrations.AddField(
            model_name="note",
            name="re_enters",
            field=models.UUIDField(db_index=True, null=True),
        ),
        migrations.AddIndex(
            model_name="note",
            index=models.Index(
                fields=["practitioner_id", "local_date", "id"], name="note_of_author"
            ),
        ),
        migrations.AddIndex(
            model_name="session",
            index=models.Index(
                fields=["ends_at", "id"],
                name="session_unsigned",
                condition=models.Q(status="arrived"),
            ),
        ),
    ]
