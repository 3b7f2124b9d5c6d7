"""A session's plan."""

from __future__ import annotations

from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.answer_forms import AnswerForm, either_form
from practice.http.base_views import ApiView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation
from practice.http.roles import CLINICAL, PRACTITIONER_ONLY
from practice.work.unit_of_work import UnitOfWork
from sessions.booking.services.attendance import session_open
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.selectors.sessions import session_get, session_row
from sessions.catalogue.selectors import stretch_names
from sessions.notes.rendering import render_draft_save
from sessions.notes.serializers.notes import DraftOutputSerializer
from sessions.plan.line_serializers import BringLinesInputSerializer
from sessions.plan.opening_warnings import opening_warnings
from sessions.plan.selectors import co_signature_of_plan, session_plan_get
from sessions.plan.serializers import SessionPlanOutputSerializer, serialize_session_plan
from sessions.plan.services import lines_bring
from sessions.plan.short_rendering import serialize_opened, serialize_short_plan
from sessions.plan.short_serializers import (
    OpenedSessionOutputSerializer,
    PlanQueryInputSerializer,
    ShortPlanOutputSerializer,
)


@extend_schema_view(
    get=endpoint(
        "Read a session's plan",
        response=either_form("EitherPlan", ShortPlanOutputSerializer, SessionPlanOutputSerializer),
        query=PlanQueryInputSerializer,
        errors=(404,),
        description="What may be done today and why not the rest; computed when asked. In short"
        " (the default): a headline that names the worst, the programme in its order with doses"
        " and every reason, what posture and range ask for, the last readings, the split; each"
        " reason is said once. With `form=long`: the whole catalogue, every verdict with its"
        " reasons and their sources.",
        tags=["sessions"],
    )
)
class SessionPlanView(ApiView):
    """What a practitioner looks at when the session opens."""

    roles = {"GET": CLINICAL}
    query_form = PlanQueryInputSerializer

    def get(self, request: Request, session_id: UUID) -> Response:
        """The plan as of now."""
        given = self.query(request)
        actor = self.actor(request)
        row = session_get(actor, session_id)
        self.log_read(request, row.client_id, "plan")
        plan = session_plan_get(row)
        if given.get("form") is AnswerForm.LONG:
            shown = serialize_session_plan(actor.role, plan)
        else:
            shown = serialize_short_plan(actor.role, plan, stretch_names())
        return self.read_response(shown, version=row.version)


def render_opened(uow: UnitOfWork, done: SessionCommandResult) -> Representation:
    """The session's plan in short, with what the opening warns of and the session's version."""
    row = session_row(done.session_id)
    plan = session_plan_get(row)
    warnings = [*done.warnings, *co_signature_of_plan(plan, uow.now), *opening_warnings(row)]
    shown = serialize_opened(uow.actor.role, plan, stretch_names(), warnings)
    return Representation(shown, row.version)


class SessionOpeningView(CommandView):
    """The practitioner begins."""

    post = Command(
        "Open a session",
        tag="sessions",
        roles=PRACTITIONER_ONLY,
        output=OpenedSessionOutputSerializer,
        errors=(404, 409),
        execute=session_open,
        render=render_opened,
        description=(
            "By its own practitioner, after arrival (409 `not_arrived`). What was permitted "
            "at this moment is kept with the session; within the booked time the note's "
            "start is taken from it. Answers the plan in short (at most about 5 KB), so that a "
            "session is: opening, saves, signature; cues of a stretch stand in the catalogue."
        ),
    )


class NoteLinesView(CommandView):
    """Lines brought into the draft of a session by one act."""

    post = Command(
        "Bring lines into a draft",
        tag="notes",
        roles=PRACTITIONER_ONLY,
        input=BringLinesInputSerializer,
        output=DraftOutputSerializer,
        errors=(404, 409),
        if_match="required",
        execute=lines_bring,
        render=render_draft_save,
        description="From `plan`: all that is permitted of it today, as done as planned, with dose"
        " and mode; then save the exceptions. From `last_note`: what was done last time, each line"
        " marked `brought_from` until a PATCH names it or a PUT changes it; unsigned until then."
        " Minutes and pain are never brought, a response only as it is said here for all lines of"
        " the plan; texts never copied. Lines that the draft holds stay as they are, but for a"
        " response that was not said yet; it is a save like any other.",
    )
