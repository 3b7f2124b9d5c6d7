"""The billing floor: payers, authorizations, visits and units."""

from django.apps import AppConfig


class BillingConfig(AppConfig):
    """Registers what is drawn from signed notes."""

    name = "billing"
    label = "billing"
    default_auto_field = "django.db.models.BigAutoField"
