"""The benchmark's small record, registered like any app's."""

from django.apps import AppConfig


class BenchConfig(AppConfig):
    """Events, slice and read table of the benchmark; tables of the peers."""

    name = "tests.bench"
    label = "bench"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Register the events, their slice and their projector."""
        from practice.core.decisions import installed
        from tests.bench import record

        installed.add_slices(record.LATEST)
        installed.add_projections(record.MEASURED_ROWS)
