"""A framework project with nothing in it but one view: what any such program needs to start."""

from typing import Any

import django
from django.conf import settings

settings.configure(
    SECRET_KEY="of no use",  # it guards nothing
    ALLOWED_HOSTS=["*"],
    ROOT_URLCONF=__name__,
    INSTALLED_APPS=["django.contrib.contenttypes", "django.contrib.auth", "rest_framework"],
)
django.setup()

from django.core.wsgi import get_wsgi_application  # noqa: E402  after the setup
from django.urls import path  # noqa: E402
from rest_framework.response import Response  # noqa: E402
from rest_framework.views import APIView  # noqa: E402


class Alive(APIView):
    """Answers."""

    authentication_classes = ()
    permission_classes = ()

    def get(self, request: Any) -> Response:
        """That it lives."""
        return Response({"status": "ok"})


urlpatterns = [path("api/v1/health/live", Alive.as_view())]
application = get_wsgi_application()
