"""The sheet of a home exercise, to be printed and taken home."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.template.loader import render_to_string
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_view
from rest_framework.renderers import BaseRenderer, JSONRenderer
from rest_framework.request import Request

from clients.api.clientview import ClientView
from clients.selectors.names import named
from practice.api.describe import described
from practice.api.roles import CLINICAL
from practice.domain.reasons import existing
from practice.models import PRACTICE_ID, Practice, Practitioner
from sessions.models import HomeExercise
from sessions.selectors.catalogue import stretch_get


class HtmlRenderer(BaseRenderer):
    """Answers to text/html; problems stay JSON."""

    media_type = "text/html"
    format = "html"

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None
    ) -> Any:
        """Only problem documents come here: the page itself is rendered by its template."""
        return JSONRenderer().render(data)


def sheet_of(row: HomeExercise) -> str:
    """The page, by the version of the catalogue that it was taught from."""
    taught_by = Practitioner.objects.filter(pk=row.taught_by).first()
    content = stretch_get(row.stretch, row.catalogue_version).content
    (shown,) = named([row])
    return render_to_string(
        "sessions/home_exercise.html",
        {
            "exercise": shown,
            "content": content,
            "dose": row.dose,
            "client_name": getattr(shown, "client_name", ""),
            "taught_by": taught_by.name if taught_by else "",
            "practice": Practice.objects.get(pk=PRACTICE_ID),
        },
    )


@extend_schema_view(
    get=described(
        "Print a home exercise",
        gives={(200, "text/html"): OpenApiTypes.STR},
        refuses=(404,),
        description="A page to take home: how, how much, when to stop, and its version.",
        tags=["stretches"],
    )
)
class HomeExerciseSheet(ClientView):
    """A home exercise as a page."""

    roles = {"GET": CLINICAL}
    renderer_classes = (JSONRenderer, HtmlRenderer)  # type: ignore[assignment]

    def get(self, request: Request, client_id: UUID, home_exercise_id: UUID) -> HttpResponse:
        """The page; one that was taken back says so."""
        self.opened(request, client_id, "home exercise")
        row = existing(
            HomeExercise.objects.filter(pk=home_exercise_id, client_id=client_id).first(),
            "home exercise",
        )
        return HttpResponse(sheet_of(row), content_type="text/html; charset=utf-8")
