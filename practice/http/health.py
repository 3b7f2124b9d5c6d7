"""Health checks and the description of the API."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import timedelta
from typing import Any, ClassVar, Final

from django.db import DatabaseError
from drf_spectacular.utils import extend_schema, extend_schema_view
from drf_spectacular.views import SpectacularJSONAPIView, SpectacularSwaggerSplitView
from kombu import Connection
from rest_framework import serializers
from rest_framework.renderers import JSONRenderer, TemplateHTMLRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from practice.clock import clock
from practice.core.appspec import ExtensionPoint
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.roles import ANYONE
from practice.http.serializers import StrictSerializer
from practice.jobs.selectors import oldest_overdue

READINESS_CHECKS = ExtensionPoint[Callable[[], Sequence[str]]]("readiness checks")
"""``check()``: what keeps the program from answering requests, each as a sentence."""

LATE: Final = timedelta(minutes=10)
"""A row that fell due longer ago means that nothing ticks (one tick a minute)."""


class LivenessOutputSerializer(StrictSerializer):
    """The process answers."""

    status = serializers.CharField(help_text="Always `ok`.")


class ReadinessOutputSerializer(StrictSerializer):
    """What the program needs, each `ok` or what is wrong."""

    status = serializers.CharField(help_text="`ok`, or `not_ready` with status 503.")
    database = serializers.CharField(help_text="`ok` or `unreachable`.")
    broker = serializers.CharField(help_text="`ok` or `unreachable`: work is only done later.")
    jobs = serializers.CharField(help_text="`ok`, `late` or `unknown`.")
    oldest_due_seconds = serializers.IntegerField(
        allow_null=True, help_text="Age in seconds of the oldest row that waits, or null."
    )
    problems = serializers.ListField(
        child=serializers.CharField(),
        help_text="What else is missing, e.g. a group of settings that cannot be read.",
    )


@extend_schema_view(
    get=endpoint(
        "Is the process alive",
        response=LivenessOutputSerializer,
        description=(
            "Looks at nothing but itself: no database, no broker. For whatever restarts a "
            "process that hangs."
        ),
        tags=["health"],
        public=True,
    )
)
class LivenessView(ApiView):
    """Looks at nothing but itself."""

    roles = {"GET": ANYONE}
    authentication_classes = ()

    def get(self, request: Request) -> Response:
        return Response({"status": "ok"})


@extend_schema_view(
    get=endpoint(
        "Is everything there that requests need",
        response={
            (200, "application/json"): ReadinessOutputSerializer,
            (503, "application/json"): ReadinessOutputSerializer,
        },
        tags=["health"],
        public=True,
    )
)
class ReadinessView(ApiView):
    """Looks at the database, the broker, the oldest job and the settings."""

    roles = {"GET": ANYONE}
    authentication_classes = ()

    def get(self, request: Request) -> Response:
        """503 without a database or with settings that cannot be read; a broker that is away or
        late work is only reported."""
        shown = self._looked()
        return Response(shown, status=200 if shown["status"] == "ok" else 503)

    @staticmethod
    def _looked() -> dict[str, Any]:
        broker = "ok" if broker_answers() else "unreachable"
        try:
            oldest = oldest_overdue(clock.now())
            problems = [text for check in READINESS_CHECKS.answers for text in check()]
        except DatabaseError:
            return {
                "status": "not_ready",
                "database": "unreachable",
                "broker": broker,
                "jobs": "unknown",
                "oldest_due_seconds": None,
                "problems": [],
            }
        age = clock.now() - oldest if oldest else None
        return {
            "status": "not_ready" if problems else "ok",
            "database": "ok",
            "broker": broker,
            "jobs": "late" if age is not None and age > LATE else "ok",
            "oldest_due_seconds": int(age.total_seconds()) if age is not None else None,
            "problems": problems,
        }


def broker_answers() -> bool:
    """Whether the broker can be reached within a second."""
    from django.conf import settings

    options = dict(getattr(settings, "CELERY_BROKER_TRANSPORT_OPTIONS", {}))
    try:
        with Connection(
            settings.CELERY_BROKER_URL, connect_timeout=1, transport_options=options
        ) as broker:
            broker.ensure_connection(max_retries=1, timeout=1, interval_start=0)
    except Exception:  # noqa: BLE001  any transport's own error means the same
        return False
    return True


class OpenApiView(SpectacularJSONAPIView):
    """The OpenAPI 3.1 description, generated once: it is the same for everyone."""

    roles = {"GET": ANYONE}
    authentication_classes = ()
    _drawn: ClassVar[Any] = None

    @extend_schema(exclude=True)
    def get(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """The description as JSON."""
        if OpenApiView._drawn is None:
            found = super().get(request, *args, **kwargs)  # type: ignore[no-untyped-call]
            OpenApiView._drawn = found.data
        # It is the same for everyone and names nobody, so any cache may keep it and ask.
        return Response(OpenApiView._drawn, headers={"Cache-Control": "no-cache"})


class DocumentationRenderer(TemplateHTMLRenderer):
    """The page of the documentation; problems stay JSON."""

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None
    ) -> Any:
        """The page, or a problem document."""
        if renderer_context["response"].exception:
            return JSONRenderer().render(data)
        return super().render(data, accepted_media_type, renderer_context)


class DocumentationView(SpectacularSwaggerSplitView):
    """Interactive documentation from the package's own files."""

    roles = {"GET": ANYONE}
    authentication_classes = ()
    renderer_classes = [DocumentationRenderer]
