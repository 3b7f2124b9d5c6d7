"""Lists of notes: not signed yet, words that wait for their author, own notes by a text."""

from __future__ import annotations

import json
from typing import Any

from django.db.models import QuerySet
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.accesslog.services import log_search
from practice.clock import clock
from practice.core.localtime import local_day
from practice.http.base_views import ListView, PagedView
from practice.http.middleware import request_id_of
from practice.http.openapi import endpoint
from practice.http.roles import CLINICAL, PRACTITIONER_ONLY
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import zone_of
from sessions.notes.filters import UnsignedNoteFilter, WaitingWordsFilter
from sessions.notes.models import Note, NoteDraft
from sessions.notes.selectors.lists import (
    named_waiting,
    other_words,
    own_notes_with,
    unsigned,
    waiting_words,
    with_drafts,
)
from sessions.notes.selectors.notes import named_notes, no_notes
from sessions.notes.serializers.lists import (
    NoteFoundOutputSerializer,
    NoteSearchInputSerializer,
    UnsentWordsOutputSerializer,
    UnsignedNoteOutputSerializer,
)


@extend_schema_view(
    get=endpoint(
        "Notes that are not signed",
        response=UnsignedNoteOutputSerializer(many=True),
        description=(
            "Sessions that are over, to which the client came and whose note is not signed, the "
            "oldest first, with their age and what is drafted. A practitioner reads their own, "
            "the owner all. `overdue=true`: past the hours that the practice gives (setting "
            "`notes.unsigned_after_hours`). No word of a draft is shown."
        ),
        tags=["notes"],
    )
)
class UnsignedNoteListView(ListView):
    """What somebody still has to write or sign."""

    roles = {"GET": CLINICAL}
    order = ("ends_at", "id")
    filterset_class = UnsignedNoteFilter

    def get_queryset(self) -> QuerySet[Session]:
        """All of the practice, or a practitioner's own."""
        return unsigned(self.actor(self.request), clock.now())

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names and age; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "unsigned notes")
        return UnsignedNoteOutputSerializer(with_drafts(rows, clock.now()), many=True).data


@extend_schema_view(
    get=endpoint(
        "Words that wait for their author",
        response=UnsentWordsOutputSerializer(many=True),
        description=(
            "Drafts that no signature will take: what came in after it, what was left with its "
            "author when the session was moved to another practitioner, what was written of a "
            "session that has no note any more. A practitioner reads which are theirs, the owner "
            "whose there are; the words themselves stand in the session's note, for their author."
        ),
        tags=["notes"],
    )
)
class WaitingWordsListView(ListView):
    """What is to be sent as an addendum or discarded."""

    roles = {"GET": CLINICAL}
    order = ("updated_at", "id")
    filterset_class = WaitingWordsFilter

    def get_queryset(self) -> QuerySet[NoteDraft]:
        """All of the practice, or a practitioner's own."""
        return waiting_words(self.actor(self.request))

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With names; the record of everyone on the page is read."""
        self.log_reads(request, (row.client_id for row in rows), "unsent words")
        return UnsentWordsOutputSerializer(named_waiting(rows), many=True).data


@extend_schema_view(
    post=endpoint(
        "Find own notes by a text",
        request=NoteSearchInputSerializer,
        response=NoteFoundOutputSerializer(many=True),
        description=(
            "The caller's own signed notes in which the text occurs, small and capital letters "
            "alike, in the words of the note, of its lines or of an addendum (of lines the fields "
            "too, such as `left`); the latest first. Drafts are sealed with the client's key and "
            "are not searched. The words are compared note by note within the days asked for: no "
            "index of words is kept, as it would be a second copy of what an erasure must take "
            "away. So it costs the reading of the practitioner's notes of those days, a year if "
            "none are named, three years at most. Sent in a body, since query strings end up in "
            "logs; what was asked is logged sealed."
        ),
        tags=["notes"],
    )
)
class OwnNoteSearchView(PagedView):
    """A practitioner's own notes, by words in them."""

    roles = {"POST": PRACTITIONER_ONLY}
    serializer_class = NoteFoundOutputSerializer
    order = ("-local_date", "-id")

    def known_parameters(self) -> set[str]:
        """Only those of paging."""
        return {"cursor", "page_size"}

    def get_queryset(self) -> QuerySet[Note]:
        """What was asked for in the body."""
        if getattr(self, "swagger_fake_view", False):
            return no_notes()
        asked = NoteSearchInputSerializer.checked(self.request.data)
        today = local_day(clock.now(), zone_of(None))
        return own_notes_with(self.actor(self.request), asked, today)

    def serialize_rows(self, request: Request, rows: list[Any]) -> Any:
        """With what was asked for and whose notes were found logged."""
        log_search(
            staff_id=self.caller(request).pk,
            client_ids=[row.client_id for row in rows],
            what="search of notes",
            asked=json.dumps(request.data, sort_keys=True, ensure_ascii=False),
            request_id=request_id_of(request),
        )
        found: list[Any] = named_notes(rows)
        for row in found:
            row.other_words = other_words(row)
        return super().serialize_rows(request, found)

    def post(self, request: Request) -> Response:
        return self.list_response(request)
