"""Payers, codes and clients' streams in the database, for tests below the HTTP layer."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import count
from typing import Any
from uuid import UUID, uuid4

from billing.authorizations.domain.events import AuthorizationRecorded
from billing.authorizations.domain.state import AUTHORIZATION_BALANCE
from billing.payers.models import Payer, ServiceCode, ServiceMap
from practice.core.decisions import Actor
from practice.core.terms import Credential, Role, SessionPart
from practice.work.unit_of_work import Outcome, new_client_stream, unit_of_work
from sessions.notes.domain.events import AddendumAdded, NotePartMinutes, NoteSigned
from tests.billing.streams import terms

CODES = {
    SessionPart.STRETCHING: "STR15",
    SessionPart.CARDIO: "CAR15",
    SessionPart.STRENGTH: "THX15",
}
THERAPISTS = (Credential.PHYSICAL_THERAPIST, Credential.OCCUPATIONAL_THERAPIST)
ACTOR = Actor(id=uuid4(), role=Role.PRACTITIONER)
FIRST = date(2026, 3, 2)
_HOURS = count()
"""Each note starts at another hour than the one made before it, so that none overlap."""


def payer(name: str = "Lakeshore", **changes: Any) -> Payer:
    """A payer of therapists' time with a timed code for each part but talk."""
    row = Payer.objects.create(
        name=name, **{"paid_credentials": [one.value for one in THERAPISTS], **changes}
    )
    for part, text in CODES.items():
        code, _ = ServiceCode.objects.get_or_create(
            code=text, defaults={"description": part.value, "timed": True}
        )
        for credential in THERAPISTS:
            ServiceMap.objects.create(
                payer=row, part=part.value, credential=credential.value, service_code=code
            )
    return row


def client_with(payer_id: UUID, **changes: Any) -> tuple[UUID, UUID]:
    """A client's stream with one authorization; both ids."""
    client_id, authorization_id = new_client_stream(), uuid4()
    with unit_of_work(actor=ACTOR, request_id="build") as uow:
        uow.create(client_id)
        recorded = AuthorizationRecorded(
            authorization_id=authorization_id, payer_id=payer_id, terms=terms(**changes)
        )
        uow.execute(client_id, (AUTHORIZATION_BALANCE,), lambda states, ctx: [recorded])
    return client_id, authorization_id


def note_on(number: int, minutes: dict[SessionPart, int] | None = None) -> NoteSigned:
    """A note on the day ``number`` days after the first."""
    day = FIRST + timedelta(days=number)
    given = {SessionPart.STRETCHING: 30} if minutes is None else minutes
    started = datetime(day.year, day.month, day.day, 13 + next(_HOURS) % 10, tzinfo=UTC)
    return NoteSigned(
        note_id=uuid4(),
        session_id=uuid4(),
        practitioner_id=uuid4(),
        credential=Credential.PHYSICAL_THERAPIST,
        facility_id=uuid4(),
        started_at=started,
        ended_at=started + timedelta(minutes=sum(given.values())),
        booked_minutes=60,
        zone="America/New_York",
        local_date=day,
        subjective="",
        objective="",
        assessment="",
        plan="",
        minutes=tuple(NotePartMinutes(part=p, minutes=m) for p, m in given.items()),
        not_counted_minutes=0,
        attended_minutes=sum(given.values()),
    )


def sign(client_id: UUID, note: NoteSigned) -> Outcome:
    """Sign in a unit of work of its own; the registered reactors answer."""
    with unit_of_work(actor=ACTOR, request_id="sign") as uow:
        return uow.execute(client_id, (), lambda states, ctx: [note])


def correct(client_id: UUID, note: NoteSigned, **minutes: int) -> Outcome:
    """An addendum that corrects minutes, in a unit of work of its own."""
    addendum = AddendumAdded(
        addendum_id=uuid4(),
        note_id=note.note_id,
        session_id=note.session_id,
        practitioner_id=note.practitioner_id,
        text="Minutes corrected.",
        corrected_minutes=tuple(
            NotePartMinutes(part=SessionPart(part), minutes=count)
            for part, count in minutes.items()
        ),
    )
    with unit_of_work(actor=ACTOR, request_id="correct") as uow:
        return uow.execute(client_id, (), lambda states, ctx: [addendum])
