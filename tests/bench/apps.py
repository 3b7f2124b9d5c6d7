"""The benchmark's app."""

from django.apps import AppConfig


class BenchConfig(AppConfig):
    """Read table of the benchmark; tables of the peers."""

    name = "tests.bench"
    label = "bench"
    default_auto_field = "django.db.models.BigAutoField"
