"""The clients app: who the client is and what may be done with them."""

from django.apps import AppConfig


class ClientsConfig(AppConfig):
    """Django's description of the app."""

    name = "clients"
    label = "clients"
    default_auto_field = "django.db.models.BigAutoField"
