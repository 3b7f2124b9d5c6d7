"""A slip set right, a red flag cleared, free words reviewed."""

from __future__ import annotations

from uuid import UUID

from rest_framework.request import Request
from rest_framework.response import Response

from clients.identity.selectors import require_visible_client
from practice.http.base_views import ApiView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.roles import CARE, CLINICAL, PRACTITIONER_ONLY
from sessions.booking.rendering import render_freed, render_session
from sessions.booking.selectors.signs import client_signs
from sessions.booking.serializers.corrections import (
    ClientSignsOutputSerializer,
    RedFlagClearanceInputSerializer,
    SessionCorrectionInputSerializer,
    SessionInErrorInputSerializer,
    WordsReviewInputSerializer,
)
from sessions.booking.serializers.freed import FreedSessionOutputSerializer
from sessions.booking.serializers.sessions import SessionOutputSerializer
from sessions.booking.services.corrections import session_correct
from sessions.booking.services.freed import session_enter_in_error_prompting
from sessions.booking.services.reviews import red_flag_clear, words_review


class SessionCorrectionView(CommandView):
    """A slip of the desk."""

    post = Command(
        "Set right what a session was marked as",
        tag="sessions",
        roles=CARE,
        input=SessionCorrectionInputSerializer,
        output=SessionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=session_correct,
        render=render_session,
        description="Arrived on the wrong row, no-show or cancelled by mistake, called off by "
        "another or for another cause: until the note is signed. Back at `booked` it takes its "
        "time again (409 `time_taken` with the clash). The history keeps both; `warnings` name the "
        "draft of its note, if there is one.",
    )


class SessionInErrorView(CommandView):
    """A session that should not stand here."""

    post = Command(
        "Enter a session in error",
        tag="sessions",
        roles=CARE,
        input=SessionInErrorInputSerializer,
        output=FreedSessionOutputSerializer,
        errors=(404, 409),
        if_match="optional",
        execute=session_enter_in_error_prompting,
        render=render_freed,
        description="For the wrong client or one that never was. It holds no time and leaves the "
        "lists; `status=entered_in_error` finds it, and `waiting_fits` says who on the waiting "
        "list may have the time that came free. It stays so: what was right is booked anew. Once "
        "the note is signed only its practitioner does this: the note stays in the history and "
        "leaves the lists with its visit, what it used goes back; what was measured in the "
        "session and what rested on that is taken back. `warnings` name what waits for a person, "
        "and whose draft of the note there is.",
    )


class RedFlagClearanceView(CommandView):
    """A sign was looked at."""

    post = Command(
        "Clear a red flag with what was found",
        tag="sessions",
        roles=PRACTITIONER_ONLY,
        input=RedFlagClearanceInputSerializer,
        output=SessionOutputSerializer,
        errors=(404, 409),
        execute=red_flag_clear,
        render=render_session,
        description="By a practitioner who may evaluate, in every session of the client. The sign "
        "of an emergency is not cleared on the day on which it was said (`emergency_today`).",
    )


class WordsReviewView(CommandView):
    """Free words were read."""

    post = Command(
        "Review what the client said in their own words",
        tag="sessions",
        roles=PRACTITIONER_ONLY,
        input=WordsReviewInputSerializer,
        output=SessionOutputSerializer,
        errors=(404, 409),
        execute=words_review,
        render=render_session,
        description="By a practitioner who may evaluate. Until then nothing is hands-on; words "
        "that are not named still wait.",
    )


class ClientSignsView(ApiView):
    """What stands."""

    roles = {"GET": CLINICAL}

    @endpoint(
        "Read the red flags and words that wait for a practitioner",
        response=ClientSignsOutputSerializer,
        errors=(404,),
        tags=["sessions"],
        description="Each stands, on every day and in every session, until it is cleared or "
        "reviewed.",
    )
    def get(self, request: Request, client_id: UUID) -> Response:
        """Signs and words of a client, in the order in which they were said."""
        require_visible_client(self.actor(request), client_id)
        self.log_read(request, client_id, "signs")
        return self.read_response(ClientSignsOutputSerializer(client_signs(client_id)).data)
