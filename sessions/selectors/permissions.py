"""What may be done with a client: now, somewhere, with someone; or in one session."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from clients.domain.clinical import CLIENT_FACTS, client_facts
from clients.domain.permissions.outputs import Judgement
from clients.selectors import client_get
from practice.clock import clock
from practice.domain.decisions import Actor
from practice.domain.localtime import local_day
from practice.domain.reasons import not_found
from practice.eventlog import loading
from practice.models import Practitioner
from practice.selectors import facility_get
from sessions.domain.calendar.state import CALENDAR, Booked
from sessions.domain.judging.today import Today
from sessions.services.judging import Judge, Place


def client_permissions(
    actor: Actor, client_id: UUID, practitioner_id: UUID, facility_id: UUID, day: date | None
) -> tuple[Judgement, Today]:
    """The judgement for a practitioner, a facility and a local day (default today there).

    What she answered on arrival that day, in any session with anybody, and a stop since
    then count; they are named beside it.
    """
    client_get(actor, client_id)
    facility = facility_get(actor, facility_id)
    if not Practitioner.objects.filter(pk=practitioner_id).exists():
        raise not_found("practitioner")
    place = Place(practitioner_id, facility_id, day or local_day(clock.now(), facility.zone))
    states = loading.load(client_id, (*CLIENT_FACTS, CALENDAR))
    judge = Judge(client_id, client_facts(states))
    said = judge.day(states[CALENDAR], place.day)
    return judge.case(place, answers=said.answers, stop=said.stop).judged(), said


def session_permissions(client_id: UUID, session_id: UUID) -> tuple[Booked, Judgement]:
    """A session as it stands and what may be done in it now, after a stop if there was one.

    A red flag of another session that day closes it too while it is open.
    """
    states = loading.load(client_id, (*CLIENT_FACTS, CALENDAR))
    calendar = states[CALENDAR]
    session = calendar.session(session_id)
    return session, Judge(client_id, client_facts(states)).now(session, calendar).judged()
