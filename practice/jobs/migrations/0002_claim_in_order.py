"""What is due is claimed order by order, each from its own stretch of the index."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("jobs", "0001_initial")]

    operations = [
        migrations.RemoveIndex(model_name="scheduledjob", name="due_waiting"),
        migrations.AddIndex(
            model_name="scheduledjob",
            index=models.Index(
                condition=models.Q(("status", "waiting")),
                fields=["order", "due_at", "id"],
                name="due_waiting",
            ),
        ),
        migrations.AddConstraint(
            model_name="scheduledjob",
            constraint=models.CheckConstraint(
                condition=models.Q(("order__in", [1, 5, 9])), name="job_order_known"
            ),
        ),
    ]
