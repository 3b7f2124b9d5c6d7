"""The clients floor: who the client is and what may be done with them."""

from django.apps import AppConfig


class ClientsConfig(AppConfig):
    """Registers the client's facts."""

    name = "clients"
    label = "clients"
    default_auto_field = "django.db.models.BigAutoField"

    def ready(self) -> None:
        """Register the slices and projectors of this floor."""
        from clients import spec as registration

        registration.register()
