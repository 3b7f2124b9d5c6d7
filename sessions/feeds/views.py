"""Calendar feeds: making and revoking links, and what is behind one."""

from __future__ import annotations

from typing import Any

from django.db.models import QuerySet
from django.http import HttpResponse
from django.urls import reverse
from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request

from practice.accesslog.services import log_reads
from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.middleware import request_id_of
from practice.http.openapi import endpoint
from practice.http.renderers import CalendarRenderer
from practice.http.representations import Representation
from practice.http.roles import ANYONE, CARE
from practice.work.unit_of_work import UnitOfWork
from sessions.feeds.calendar_file import calendar_file
from sessions.feeds.models import CalendarFeed
from sessions.feeds.selectors import (
    feed_entries,
    feed_list,
    feed_name,
    feed_of_secret,
    feed_sessions,
    names_clients,
    not_read_today,
)
from sessions.feeds.serializers import (
    FeedInputSerializer,
    FeedOutputSerializer,
    MadeFeedOutputSerializer,
)
from sessions.feeds.services import MadeFeed, feed_make, feed_revoke


def render_made_feed(_uow: UnitOfWork, made: MadeFeed) -> Representation:
    """The feed with its link."""
    path = reverse("calendar-feed-file", kwargs={"secret": made.secret})
    shown = {**FeedOutputSerializer(made.row).data, "path": path}
    return Representation(shown, made.row.revision)


@extend_schema_view(
    get=endpoint(
        "List calendar feeds",
        response=FeedOutputSerializer(many=True),
        description="One's own, to the owner everybody's, revoked ones too; without the links.",
        tags=["sessions"],
    )
)
class FeedListView(CommandView, ListView):
    """Links to sessions for calendar programs."""

    roles = {"GET": CARE}
    names_no_client = True
    serializer_class = FeedOutputSerializer
    order = ("staff_id", "id")

    def get_queryset(self) -> QuerySet[CalendarFeed]:
        return feed_list(self.actor(self.request))

    post = Command(
        "Make a calendar feed",
        tag="sessions",
        roles=CARE,
        input=FeedInputSerializer,
        output=MadeFeedOutputSerializer,
        status=201,
        errors=(404,),
        execute=feed_make,
        render=render_made_feed,
        description="A secret link that a calendar program can subscribe to, shown this once. It "
        "holds times, places and, as the setting `feeds.client_shown` says, initials; it shows "
        "what its maker sees, and nothing once they have left.",
    )


class FeedDetailView(CommandView):
    """One link."""

    delete = Command(
        "Revoke a calendar feed",
        tag="sessions",
        roles=CARE,
        errors=(404,),
        execute=feed_revoke,
        description="Whoever subscribes by its link gets 404 from now on; the row stays listed. "
        "Staff revoke their own, the owner anybody's; another's is 404.",
    )


class FeedFileView(ApiView):
    """What is behind a link."""

    roles = {"GET": ANYONE}
    authentication_classes = ()
    renderer_classes = (CalendarRenderer,)

    @endpoint(
        "Read a calendar feed",
        response={(200, "text/calendar"): OpenApiTypes.STR},
        errors=(404,),
        description="iCalendar (RFC 5545), as calendar programs subscribe to it. A client counts "
        "as read by the link's maker once in 24 hours.",
        tags=["sessions"],
        public=True,
    )
    def get(self, request: Request, secret: str) -> HttpResponse:
        """The sessions, of some days back and ahead."""
        feed = feed_of_secret(secret)
        sessions = feed_sessions(feed)
        self._log(request, feed, {one.client_id for one in sessions})
        content = calendar_file(feed_name(feed), feed_entries(feed, sessions))
        return HttpResponse(content, content_type="text/calendar; charset=utf-8")

    def _log(self, request: Request, feed: CalendarFeed, client_ids: set[Any]) -> None:
        what = f"calendar feed {feed.pk}"
        shown = not_read_today(feed, client_ids, what) if names_clients() else set()
        if shown:
            log_reads(
                staff_id=feed.staff_id,
                client_ids=shown,
                what=what,
                request_id=request_id_of(request),
            )
