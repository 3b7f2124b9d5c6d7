"""The billing app: payers, authorizations, what was used, and what left the practice."""

from django.apps import AppConfig


class BillingConfig(AppConfig):
    """Django's description of the app."""

    name = "billing"
    label = "billing"
    verbose_name = "Billing"
    default_auto_field = "django.db.models.BigAutoField"
