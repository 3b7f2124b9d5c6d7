"""Clients on record for tests: registered, consenting, reviewed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

from clients.clinical.domain.facts import CLIENT_FACTS
from clients.consent.domain.events import ConsentDocumentation, ConsentRecorded, ConsentScope
from clients.consent.domain.terms import ConsentMethod
from clients.health.domain.content import BodySite, HistoryContent, Operation
from clients.health.domain.events import HistoryReviewed
from clients.health.domain.terms import ClearanceNeed, NeckHistory, OperationKind
from clients.identity.domain.events import (
    ClientDetails,
    ClientDetailsChanged,
    ClientRegistered,
    ContactBy,
)
from clients.identity.domain.state import IDENTITY
from clients.orders.domain.events import OrderFiled
from clients.orders.domain.order import MedicalOrder
from clients.orders.domain.terms import OrderKind, Prescriber
from clients.preference.domain.events import PreferenceStated, StatedPreference
from clients.preference.domain.terms import PreferenceScope
from clients.reminders.models import Reminder
from clients.reminders.sealing import pack
from practice.clock import clock
from practice.core.events import DatedEvent, Event
from practice.core.terms import Gender, Mode, Region, Role, Side, Technique
from practice.people_and_places.models.facilities import Facility
from practice.policy.row_seals import seal_rows
from practice.policy.selectors import practice_get
from practice.work.unit_of_work import Outcome, UnitOfWork, new_client_stream, unit_of_work
from tests.builders import Built

ALL_SITES = tuple(BodySite(region=region, side=Side.BOTH) for region in Region)


def doing(built: Built, act: Callable[[UnitOfWork], Any], role: Role = Role.OWNER) -> Any:
    """Something done as one of the staff in a unit of work of its own."""
    with unit_of_work(actor=built.actor(role), request_id="test") as uow:
        return act(uow)


def tell(built: Built, client_id: UUID, *events: Event | DatedEvent) -> Outcome:
    """Put facts on a client's record as they are, with everything that reacts to them."""
    found: Outcome = doing(
        built,
        lambda uow: uow.execute(client_id, CLIENT_FACTS, lambda _s, _c: list(events)),
    )
    return found


def consent(**scope: Any) -> ConsentRecorded:
    """Touch consent for everything, from a month ago for a year."""
    today = clock.now().date()
    values: dict[str, Any] = {"sites": ALL_SITES, "techniques": tuple(Technique), **scope}
    return ConsentRecorded(
        consent_id=uuid4(),
        scope=ConsentScope(**values),
        obtained=ConsentDocumentation(form=ConsentMethod.PAPER, language="en", by="Front desk"),
        given_on=today - timedelta(days=30),
        until=today + timedelta(days=365),
    )


def reviewed(**content: Any) -> HistoryReviewed:
    """A reviewed history with nothing in it that narrows."""
    values: dict[str, Any] = {"neck": NeckHistory.NONE, "clearance_need": ClearanceNeed.NOT_NEEDED}
    history = HistoryContent(**{**values, **content})
    return HistoryReviewed(review_id=uuid4(), content=history, practitioner_id=None)


def healed_mastectomy(weeks: int, side: Side = Side.RIGHT) -> Operation:
    """A mastectomy some weeks ago that went well: healed, drains out, no expander."""
    return Operation(
        id=uuid4(),
        kind=OperationKind.MASTECTOMY,
        side=side,
        on=clock.now().date() - timedelta(weeks=weeks),
        incision_healed=True,
        drains_out=True,
        expander_in=False,
    )


def not_today(*sites: BodySite) -> OrderFiled:
    """A restriction that leaves nothing at some sites."""
    order = MedicalOrder(
        id=uuid4(),
        kind=OrderKind.RESTRICTION,
        prescriber=Prescriber.SURGEON,
        prescriber_name="The surgeon",
        given_on=clock.now().date() - timedelta(days=1),
        sites=sites,
        widest_mode=Mode.NOT_TODAY,
    )
    return OrderFiled(order=order)


def prefers(gender: Gender, scope: PreferenceScope = PreferenceScope.ALL_WORK) -> PreferenceStated:
    """A preference for providers of a gender."""
    return PreferenceStated(preference=StatedPreference(scope=scope, gender=gender))


def registered(built: Built, *facilities: Facility, name: str = "Rosa") -> UUID:
    """A client of whom nothing but the name is known."""
    client_id = new_client_stream()
    details = ClientDetails(
        given_name=name,
        family_name="Marsh",
        birth_date=date(1970, 5, 4),
        zone=built.east.zone,
        facility_ids=tuple(one.pk for one in facilities or (built.east,)),
    )

    def act(uow: UnitOfWork) -> None:
        uow.create(client_id)
        uow.execute(client_id, (IDENTITY,), lambda _s, _c: [ClientRegistered(details=details)])

    doing(built, act)
    return client_id


def open_client(built: Built, *facilities: Facility) -> UUID:
    """A client with whom everything may be done by hand; so since a month ago."""
    client_id = registered(built, *facilities)
    ago = clock.now() - timedelta(days=30)
    tell(built, client_id, DatedEvent(consent(), ago), DatedEvent(reviewed(), ago))
    return client_id


def zone_at_noon() -> str:
    """A zone outside the quiet hours, whatever the time is."""
    ahead = 12 - clock.now().hour
    return f"Etc/GMT{-ahead:+d}" if ahead else "Etc/GMT"  # POSIX counts the other way round.


def practice_writes() -> None:
    """The practice has the address that stands in its mails."""
    practice = practice_get()
    practice.postal_address = "12 River Street\nSpringfield"
    practice.save()
    seal_rows([practice])


def client_by_mail(built: Built) -> UUID:
    """A client who may be written to."""
    practice_writes()
    client_id = open_client(built)
    details = ClientDetails(
        given_name="Rosa",
        family_name="Marsh",
        email="rosa@example.org",
        phone="",
        zone=zone_at_noon(),
        contact_by=ContactBy.MAIL,
        facility_ids=(built.east.pk,),
    )
    tell(built, client_id, ClientDetailsChanged(details=details))
    return client_id


def reminder_of(client_id: UUID, about: UUID, status: str) -> Reminder:
    """A reminder of a re-check by mail, where it stands."""
    now = clock.now()
    return Reminder.objects.create(
        kind="recheck_due",
        about=about,
        occasion="ahead",
        addressee="client",
        client_id=client_id,
        channel="mail",
        sealed=pack(client_id, told="The next visit is due.", address=""),
        day=now.date(),
        made_at=now,
        status=status,
    )
