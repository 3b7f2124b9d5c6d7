"""A session as it stands after a command, with the command's warnings."""

from __future__ import annotations

from django.urls import reverse

from clients.permissions.domain.results import SessionPermissions
from practice.http.representations import Representation
from practice.http.roles import CLINICAL
from practice.work.unit_of_work import UnitOfWork
from sessions.assessment.serializers import serialize_arrival_permissions
from sessions.booking.serializers.freed import WaitingFitsOutputSerializer, serialize_fits
from sessions.booking.serializers.sessions import serialize_session
from sessions.booking.services.freed import Freed
from sessions.booking.services.sessions import SessionCommandResult
from sessions.calendar.selectors.sessions import session_row


def render_session(uow: UnitOfWork, done: SessionCommandResult) -> Representation:
    """The session as the caller's role may read it, with its warnings and version."""
    row = session_row(done.session_id)
    return Representation(serialize_session(uow.actor.role, row, done.warnings), row.version)


def render_freed(uow: UnitOfWork, done: Freed) -> Representation:
    """The session, and who waits for the time that came free."""
    result, found = done
    session = render_session(uow, result)
    told = WaitingFitsOutputSerializer(serialize_fits(uow.actor.role, found)).data
    return Representation({**session.data, "waiting_fits": told}, session.version)


def render_arrival(
    uow: UnitOfWork, done: tuple[SessionCommandResult, SessionPermissions]
) -> Representation:
    """The session, and what may be done in it by the answers; the plan has it in detail."""
    result, permissions = done
    session = render_session(uow, result)
    role = uow.actor.role
    plan = reverse("session-plan", kwargs={"session_id": result.session_id})
    shown = {
        "session": session.data,
        "permissions": serialize_arrival_permissions(role, permissions),
        "plan": plan if role in CLINICAL else None,
    }
    return Representation(shown, session.version)
