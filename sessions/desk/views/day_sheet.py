"""The day sheet, as data and to be printed."""

from __future__ import annotations

from django.http import HttpResponse
from django.template.loader import render_to_string
from drf_spectacular.types import OpenApiTypes
from rest_framework.request import Request
from rest_framework.response import Response

from practice.clock import clock
from practice.core.localtime import local_day, zone_named
from practice.http.base_views import ApiView
from practice.http.openapi import endpoint
from practice.http.renderers import HtmlRenderer
from practice.http.roles import CARE
from practice.policy.selectors import practice_get
from sessions.desk.domain.day_sheet import VERDICT_TEXTS
from sessions.desk.selectors.day_sheet import DaySheet, DaySheetQuery, day_sheet
from sessions.desk.serializers.day_sheet import DaySheetOutputSerializer, DaySheetQuerySerializer


class _DaySheetBaseView(ApiView):
    """A day at a facility, of a practitioner, or of both."""

    roles = {"GET": CARE}
    query_form = DaySheetQuerySerializer

    def sheet(self, request: Request) -> DaySheet:
        """The sheet that is asked for; everyone on it is read (ruling 62)."""
        asked = DaySheetQuery(**self.query(request))
        found = day_sheet(self.actor(request), asked, clock.now())
        self.log_reads(request, found.client_ids, "day sheet")
        return found


class DaySheetView(_DaySheetBaseView):
    """The day in one answer."""

    @endpoint(
        "Read the day sheet",
        response=DaySheetOutputSerializer,
        query=DaySheetQuerySerializer,
        errors=(404,),
        description="Every session of a local day but those called off: when, who, with whom, how "
        "much is by hand in one word, and by short codes what is missing; the codes' texts, each "
        "with whom to ask, stand once at the end. Ask for tomorrow to see what to call about "
        "today. Of health only that something stands against it. One answer, about 200 bytes a "
        "session; every client on it counts as read.",
        tags=["sessions"],
    )
    def get(self, request: Request) -> Response:
        """In order of start."""
        found = self.sheet(request)
        return self.read_response(DaySheetOutputSerializer(found).data)


class DaySheetPrintoutView(_DaySheetBaseView):
    """The same as a page."""

    renderer_classes = (HtmlRenderer,)

    @endpoint(
        "Print the day sheet",
        response={(200, "text/html"): OpenApiTypes.STR},
        query=DaySheetQuerySerializer,
        errors=(404,),
        description="The day sheet as a page to print against an outage: the same sessions with "
        "room to write, every code in words, and when it was printed.",
        tags=["sessions"],
    )
    def get(self, request: Request) -> HttpResponse:
        """The page; what is hidden from the caller's role is not on it."""
        found = self.sheet(request)
        page = render_day_sheet(found)
        return HttpResponse(page, content_type="text/html; charset=utf-8")


def render_day_sheet(found: DaySheet) -> str:
    """The page of a day sheet."""
    now = clock.now()
    printed = now.astimezone(zone_named(found.zone))
    return render_to_string(
        "sessions/day_sheet.html",
        {
            "sheet": found,
            "rows": [
                {
                    **one,
                    "person": found.people[one["with"]],
                    "place_name": found.places.get(one.get("place", ""), ""),
                    "verdict": VERDICT_TEXTS.get(one.get("hands_on", ""), ""),
                    "gaps": [found.texts[code] for code in one.get("missing", ())],
                }
                for one in found.sessions
            ],
            "printed_on": local_day(now, found.zone),
            "printed_at": f"{printed:%H:%M}",
            "practice": practice_get(),
        },
    )
