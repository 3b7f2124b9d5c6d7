"""Health checks and the description of the API."""

from __future__ import annotations

from typing import Any, ClassVar

from django.db import Error
from drf_spectacular.utils import extend_schema, extend_schema_view
from drf_spectacular.views import SpectacularJSONAPIView, SpectacularSwaggerSplitView
from rest_framework import serializers
from rest_framework.renderers import JSONRenderer, TemplateHTMLRenderer
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.readiness import Readiness, look
from practice.http.roles import ANYONE
from practice.http.serializers import StrictSerializer
from practice.jobs.wake import short_connection


class LivenessOutputSerializer(StrictSerializer):
    """The process answers."""

    status = serializers.CharField(help_text="Always `ok`.")


class ReadinessOutputSerializer(StrictSerializer):
    """What the program needs, each `ok` or what is wrong."""

    status = serializers.CharField(help_text="`ok`, or `not_ready` with status 503.")
    database = serializers.CharField(help_text="`ok` or `unreachable`.")
    broker = serializers.CharField(help_text="`ok` or `unreachable`: work is only done later.")
    jobs = serializers.CharField(help_text="`ok`, `late` or `unknown`.")
    ticks = serializers.CharField(
        help_text="`ok`, `missed` (no worker has looked for due work) or `unknown`."
    )
    disk = serializers.CharField(help_text="`ok`, `low`, `full` (not ready) or `unknown`.")
    read_tables = serializers.CharField(
        help_text="`ok`, `emptied` (the log has what they do not; not ready), `rebuild_due` (older"
        " rows lack what an update added: they may not be found by it) or `unknown`."
    )
    clock = serializers.CharField(
        help_text="`ok`, `off` (against the database's, or behind the last event) or `unknown`."
    )
    oldest_due_seconds = serializers.IntegerField(
        allow_null=True, help_text="Age in seconds of the oldest row that waits, or null."
    )
    given_up_jobs = serializers.IntegerField(
        allow_null=True, help_text="How much work was given up and waits for the owner, e.g. 0."
    )
    failing_jobs = serializers.IntegerField(
        allow_null=True, help_text="How much work failed and is tried again, e.g. 0."
    )
    free_megabytes = serializers.IntegerField(
        allow_null=True, help_text="Free space where the program keeps its files."
    )
    problems = serializers.ListField(
        child=serializers.CharField(),
        help_text="What keeps it from serving requests as it should: a full disk, emptied read"
        " tables, a group of settings that cannot be read.",
    )
    warnings = serializers.ListField(
        child=serializers.CharField(), help_text="What is to be seen to meanwhile, a sentence each."
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
    """Looks at the database and everything in it that requests rest on."""

    roles = {"GET": ANYONE}
    authentication_classes = ()

    def get(self, request: Request) -> Response:
        """503 without a database, with a full disk, emptied read tables or settings that cannot
        be read; a broker that is away, late or given-up work and a clock are only warned of."""
        broker = "ok" if broker_answers() else "unreachable"
        try:
            found = look()
        except Error:
            database = "unreachable"
            found = Readiness(problems=["The database cannot be reached."])
        else:
            database = "ok"
        shown = {
            "status": "not_ready" if found.problems else "ok",
            "database": database,
            "broker": broker,
            **found.parts,
            "problems": found.problems,
            "warnings": found.warnings,
        }
        return Response(shown, status=503 if found.problems else 200)


def broker_answers() -> bool:
    """Whether the broker can be reached in a fraction of a second."""
    try:
        with short_connection() as broker:
            _ = broker.default_channel  # Made on asking, with the first word to the broker.
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
