"""What ``/`` and ``/api/v1`` answer to someone who has only the address."""

from __future__ import annotations

from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.reverse import reverse

from practice.http.base_views import ApiView
from practice.http.roles import ANYONE

FIRST_STEPS = (
    "Sign in with POST /auth/tokens below api, then send the token as Authorization: Bearer."
    ' README.md, "A first look", has the first requests to paste.'
)


class StartView(ApiView):
    """Names nobody and no record, so it asks for no sign-in."""

    roles = {"GET": ANYONE}
    authentication_classes = ()

    @extend_schema(exclude=True)
    def get(self, request: Request) -> Response:
        """Where the documentation, the OpenAPI file and the first steps are."""
        return Response(
            {
                "api": request.build_absolute_uri("/api/v1"),
                "documentation": reverse("docs", request=request),
                "openapi": reverse("schema", request=request),
                "health": reverse("health-ready", request=request),
                "first_steps": FIRST_STEPS,
            }
        )
