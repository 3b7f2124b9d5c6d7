"""The day itself: arrival, absence, opening, stop, and what may be done today."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework import serializers
from rest_framework.request import Request

from practice.api.describe import described
from practice.api.roles import CARE, PRACTITIONER_ONLY
from practice.api.views import Answer, ApiView
from practice.eventlog.runner import Work
from sessions.api.forms.arrival import AnswersForm, ArrivalForm
from sessions.api.forms.calendar import AbsenceForm, SessionForm, StopForm
from sessions.api.forms.permissions import JudgementForm, shown_judgement
from sessions.api.resources.booking import answer
from sessions.domain.calendar.commands import Arrive, MarkAbsent, Stop
from sessions.services.attendance import (
    session_absent,
    session_arrive,
    session_open,
    session_stop,
)


class ArrivedForm(serializers.Serializer[Any]):
    """The session after arrival, and what her answers allow."""

    session = SessionForm(help_text="The session.")
    judgement = JudgementForm(help_text="What may be done today.")


@extend_schema_view(
    post=described(
        "Take the arrival answers",
        takes=ArrivalForm,
        gives=ArrivedForm,
        refuses=(404, 409),
        idempotency="optional",
        description="Until hands-on is answered with yes, nothing is hands-on that day. A red flag "
        "stands for the day: only a practitioner answers it away (`red_flag_stands`).",
        tags=["sessions"],
    )
)
class Arrival(ApiView):
    """The client came."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Take the answers; again until the note is signed."""
        given = ArrivalForm.checked(request.data)
        at = given.pop("at", None)
        command = Arrive(session_id=session_id, answers=AnswersForm.to_answers(given), at=at)

        def act(work: Work) -> Answer:
            done, verdicts = session_arrive(work, command)
            shown = answer(work, done)
            judged = shown_judgement(work.actor.role, verdicts)
            return Answer({"session": shown.data, "judgement": judged}, version=shown.version)

        return self.command(request, act)


@extend_schema_view(
    post=described(
        "Record that the client did not come",
        takes=AbsenceForm,
        gives=SessionForm,
        refuses=(404, 409),
        idempotency="optional",
        tags=["sessions"],
    )
)
class Absence(ApiView):
    """The client did not come."""

    roles = {"POST": CARE}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Record it, once the session has started."""
        command = MarkAbsent(session_id=session_id, **AbsenceForm.checked(request.data))
        return self.command(request, lambda work: answer(work, session_absent(work, command)))


@extend_schema_view(
    post=described(
        "Open a session",
        gives=SessionForm,
        refuses=(404, 409),
        idempotency="optional",
        description="By its own practitioner, after arrival. What was permitted then is kept.",
        tags=["sessions"],
    )
)
class Opening(ApiView):
    """The practitioner begins."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Open it."""
        return self.command(request, lambda work: answer(work, session_open(work, session_id)))


@extend_schema_view(
    post=described(
        "Record that hands-on work was stopped",
        takes=StopForm,
        gives=SessionForm,
        refuses=(404, 409),
        idempotency="optional",
        description="Never refused as stale. Lines after the stop need an explanation.",
        tags=["sessions"],
    )
)
class Stopping(ApiView):
    """The client said stop."""

    roles = {"POST": PRACTITIONER_ONLY}

    def post(self, request: Request, session_id: UUID) -> Any:
        """Record it."""
        command = Stop(session_id=session_id, **StopForm.checked(request.data))
        return self.command(request, lambda work: answer(work, session_stop(work, command)))
