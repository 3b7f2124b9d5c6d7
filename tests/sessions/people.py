"""Clients on record for tests: registered, consenting, reviewed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from typing import Any
from uuid import UUID, uuid4

from clients.domain.clinical import CLIENT_FACTS
from clients.domain.events import (
    ClientRegistered,
    ConsentRecorded,
    ConsentScope,
    Details,
    HistoryReviewed,
    Obtained,
    PreferenceStated,
    StatedPreference,
)
from clients.domain.health import HistoryContent, Site
from clients.domain.identity import IDENTITY
from clients.domain.terms import Clearance, ConsentForm, NeckHistory, PreferenceScope
from practice.clock import clock
from practice.domain.events import Event, Happened
from practice.domain.terms import Gender, Region, Role, Side, Technique
from practice.eventlog.runner import Outcome, Work, new_client_stream, unit_of_work
from practice.models import Facility
from tests.builders import Built

ALL_SITES = tuple(Site(region=region, side=Side.BOTH) for region in Region)


def doing(built: Built, act: Callable[[Work], Any], role: Role = Role.OWNER) -> Any:
    """Something done as one of the staff in a unit of work of its own."""
    with unit_of_work(actor=built.actor(role), request_id="test") as work:
        return act(work)


def tell(built: Built, client_id: UUID, *events: Event | Happened) -> Outcome:
    """Put facts on a client's record as they are, with everything that reacts to them."""
    found: Outcome = doing(
        built,
        lambda work: work.execute(
            client_id, (IDENTITY, *CLIENT_FACTS), lambda _s, _c: list(events)
        ),
    )
    return found


def consent(**scope: Any) -> ConsentRecorded:
    """Touch consent for everything, from a month ago for a year."""
    today = clock.now().date()
    values: dict[str, Any] = {"sites": ALL_SITES, "techniques": tuple(Technique), **scope}
    return ConsentRecorded(
        consent_id=uuid4(),
        scope=ConsentScope(**values),
        obtained=Obtained(form=ConsentForm.PAPER, language="en", by="Front desk"),
        given_on=today - timedelta(days=30),
        until=today + timedelta(days=365),
    )


def reviewed(**content: Any) -> HistoryReviewed:
    """A reviewed history with nothing in it that narrows."""
    values: dict[str, Any] = {"neck": NeckHistory.NONE, "clearance": Clearance.NOT_NEEDED}
    history = HistoryContent(**{**values, **content})
    return HistoryReviewed(review_id=uuid4(), content=history, practitioner_id=None)


def prefers(gender: Gender, scope: PreferenceScope = PreferenceScope.ALL_WORK) -> PreferenceStated:
    """A preference for providers of a gender."""
    return PreferenceStated(preference=StatedPreference(scope=scope, gender=gender))


def registered(built: Built, *facilities: Facility, name: str = "Rosa") -> UUID:
    """A client of whom nothing but the name is known."""
    client_id = new_client_stream()
    details = Details(
        given_name=name,
        family_name="Marsh",
        birth_date=date(1970, 5, 4),
        zone=built.east.zone,
        facility_ids=tuple(one.pk for one in facilities or (built.east,)),
    )

    def act(work: Work) -> None:
        work.create(client_id)
        work.execute(client_id, (IDENTITY,), lambda _s, _c: [ClientRegistered(details=details)])

    doing(built, act)
    return client_id


def open_client(built: Built, *facilities: Facility) -> UUID:
    """A client with whom everything may be done by hand; so since a month ago."""
    client_id = registered(built, *facilities)
    ago = clock.now() - timedelta(days=30)
    tell(built, client_id, Happened(consent(), ago), Happened(reviewed(), ago))
    return client_id
