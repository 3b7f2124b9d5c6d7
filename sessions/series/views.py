"""Series: book, read, move, call off."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import ANY_STAFF, CARE
from sessions.series.rendering import render_series_result, serialize_series
from sessions.series.selectors import series_get
from sessions.series.serializers import (
    SeriesBookInputSerializer,
    SeriesCancelInputSerializer,
    SeriesMoveInputSerializer,
    SeriesOutputSerializer,
    SeriesResultOutputSerializer,
)
from sessions.series.services.booking import series_book
from sessions.series.services.changes import series_cancel, series_move


class SeriesListView(CommandView):
    """Sessions that repeat."""

    post = Command(
        "Book a series of sessions",
        tag="sessions",
        roles=CARE,
        input=SeriesBookInputSerializer,
        output=SeriesResultOutputSerializer,
        status=201,
        errors=(404, 409),
        idempotency="required",
        execute=series_book,
        render=render_series_result,
        description="The rule (RFC 5545) repeats a time of the facility's clock: out of a gap it "
        "goes forward, of a fold it takes the first. It ends by COUNT or UNTIL; at most 104 "
        "sessions within 366 days (settings `series`). Each is booked as it would be alone; what "
        "cannot be is answered with why and left out. With `all_or_nothing` none is booked then: "
        "409 `series_refused`, each with its reasons. 409 `none_booked` where none can be. With a "
        "`kind_id` length, purpose and mode follow from it, as for a session alone.",
    )


class SeriesDetailView(ApiView):
    """One series."""

    roles = {"GET": ANY_STAFF}

    @endpoint(
        "Read a series",
        response=SeriesOutputSerializer,
        errors=(404,),
        description="As it was booked, with what could not be, and its sessions as they stand: "
        "those that were moved or called off by themselves are marked as exceptions.",
        tags=["sessions"],
    )
    def get(self, request: Request, series_id: UUID) -> Response:
        actor = self.actor(request)
        row = series_get(actor, series_id)
        self.log_read(request, row.client_id, "series")
        return self.read_response(serialize_series(actor, row))


class SeriesMoveView(CommandView):
    """Another time, practitioner or room from a day on."""

    post = Command(
        "Move a series from a day on",
        tag="sessions",
        roles=CARE,
        input=SeriesMoveInputSerializer,
        output=SeriesResultOutputSerializer,
        errors=(404, 409),
        idempotency="required",
        execute=series_move,
        render=render_series_result,
        description="By minutes of the clock, or to another weekday of the week and time; to "
        "another practitioner or room. Each session is moved as it would be alone and keeps its "
        "id; what cannot be stays and says why. Left as they are: what took place, is under way, "
        "was cancelled, or was moved by itself before. `waiting_fits` says who on the waiting list "
        "may have the times that came free, the soonest of them.",
    )


class SeriesCancellationView(CommandView):
    """Who called the rest off, and why."""

    post = Command(
        "Call a series off from a day on",
        tag="sessions",
        roles=CARE,
        input=SeriesCancelInputSerializer,
        output=SeriesResultOutputSerializer,
        errors=(404, 409),
        idempotency="required",
        execute=series_cancel,
        render=render_series_result,
        description="Each session that is still to come, those too that were moved by themselves; "
        "the late rule is warned of. Left as they are: what took place, is under way or was "
        "cancelled before. 409 `none_cancelled` where there is nothing to call off. `waiting_fits` "
        "says who on the waiting list may have the times that came free, the soonest of them.",
    )
