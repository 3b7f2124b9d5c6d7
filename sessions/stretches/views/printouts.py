"""The sheet of a home exercise, to be printed and taken home."""

from __future__ import annotations

from uuid import UUID

import msgspec
from django.http import HttpResponse
from django.template.loader import render_to_string
from drf_spectacular.types import OpenApiTypes
from rest_framework.request import Request

from clients.identity.client_views import ClientRecordView
from clients.identity.display_names import with_display_names
from practice.core.terms import Side
from practice.http.openapi import endpoint
from practice.http.renderers import HtmlRenderer
from practice.http.roles import CLINICAL
from practice.people_and_places.selectors.practitioners import practitioner_name
from practice.policy.selectors import practice_get
from sessions.catalogue.domain.content import catalogue_content
from sessions.catalogue.domain.terms import Dose
from sessions.catalogue.selectors import stretch_get
from sessions.stretches.domain.dose_words import dose_sentences
from sessions.stretches.models import HomeExercise
from sessions.stretches.selectors.prescriptions import home_exercise_get

SIDES = {Side.LEFT: "your left side", Side.RIGHT: "your right side", Side.BOTH: ""}
"""What is done with both sides at once says so in its steps."""


def render_printout(row: HomeExercise) -> str:
    """The page, by the version of the catalogue that it was taught from.

    It speaks to the client: what the catalogue says to practitioners, and what they wrote
    about the client, is not on it.
    """
    assigned_by = practitioner_name(row.assigned_by)
    content = catalogue_content(stretch_get(row.stretch, row.catalogue_version).content)
    (shown,) = with_display_names([row])
    return render_to_string(
        "sessions/home_exercise.html",
        {
            "exercise": shown,
            "steps": content.at_home,
            "side": SIDES[Side(row.side)],
            "dose": dose_sentences(msgspec.convert(row.dose, Dose)),
            "client_name": getattr(shown, "client_name", ""),
            "assigned_by": assigned_by,
            "practice": practice_get(),
        },
    )


class HomeExercisePrintoutView(ClientRecordView):
    """A home exercise as a page."""

    roles = {"GET": CLINICAL}
    renderer_classes = (HtmlRenderer,)

    @endpoint(
        "Print a home exercise",
        response={(200, "text/html"): OpenApiTypes.STR},
        errors=(404,),
        description="A page to take home that speaks to the client: how, how much in plain words,"
        " when to stop, whom to call, who gave it and when, and its version.",
        tags=["stretches"],
    )
    def get(self, request: Request, client_id: UUID, home_exercise_id: UUID) -> HttpResponse:
        """The page; one that was taken back says so."""
        self.log_read(request, client_id, "home exercise")
        row = home_exercise_get(client_id, home_exercise_id)
        return HttpResponse(render_printout(row), content_type="text/html; charset=utf-8")
