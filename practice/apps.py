"""The ground floor: settings, people and places of the practice."""

from django.apps import AppConfig


class PracticeConfig(AppConfig):
    """What every floor above stands on."""

    name = "practice"
    label = "practice"
    default_auto_field = "django.db.models.BigAutoField"
