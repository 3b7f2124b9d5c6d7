"""Work that falls due: one table, claimed and finished, nothing waiting in the broker."""

from django.apps import AppConfig


class DueConfig(AppConfig):
    """The due table and its tick."""

    name = "practice.jobs"
    label = "jobs"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Load the Celery application, so that a web process sends wakes to the right broker."""
        from practice import celery  # noqa: F401
