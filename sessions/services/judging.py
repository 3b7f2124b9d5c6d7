"""Gathers what a session is judged by: law, people, places, the catalogue, the client's record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from functools import cached_property
from uuid import UUID

from clients.domain.permissions import inputs
from clients.domain.permissions.inputs import ClientFacts, Facts
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.stretches import StretchSpec
from clients.domain.terms import RedFlag
from practice.domain.reasons import not_found
from practice.domain.terms import Activity, Allowance, Credential, Gender, Technique
from practice.models import Facility, Pathology, Practitioner, WorkingHours
from practice.selectors import (
    competences_of,
    facility_policies,
    licences_of,
    limits_on,
    settings_group,
    supervisor_on,
)
from sessions.domain.calendar.events import Answers
from sessions.domain.calendar.state import HOLDS_TIME, Booked, Calendar, Status, Stop
from sessions.domain.judging.answers import (
    Case,
    arrival_of,
    red_flags_in,
    stop_of,
    with_usual_pain,
)
from sessions.domain.judging.today import Today, for_another, today
from sessions.models import Session
from sessions.selectors.catalogue import catalogue_specs
from sessions.selectors.swelling import Watch

HANDS_ON_ACTIVITIES = ("", Activity.ASSISTED_STRETCHING)
GENDERS = frozenset(Gender)
NOBODY = inputs.PractitionerFacts(
    practitioner_id=UUID(int=0), credential=Credential.PERSONAL_TRAINER
)
NOWHERE = inputs.FacilityPolicy(facility_id=UUID(int=0), jurisdiction="")
"""Red flags are the client's own: whoever works with her, wherever."""
PATHOLOGY = {Pathology.TREATED: True, Pathology.NONE: False, Pathology.ANY: None}


@dataclass(frozen=True, slots=True)
class Place:
    """With whom, where and on which local day: what law and people are read for."""

    practitioner_id: UUID
    facility_id: UUID
    day: date


class Judge:
    """Judges the sessions of one client; what it read once serves all of them.

    Made anew in every unit of work, after the locks: settings are never kept longer.
    """

    def __init__(self, client_id: UUID, client: ClientFacts) -> None:
        self.client_id = client_id
        self.client = client
        self._people: dict[UUID, inputs.PractitionerFacts] = {}
        self._facilities: dict[UUID, Facility] = {}
        self._limits: dict[tuple[str, date], tuple[inputs.LimitRow, ...]] = {}

    def case(
        self,
        place: Place,
        *,
        session_id: UUID | None = None,
        answers: Answers | None = None,
        stop: Stop | None = None,
        client: ClientFacts | None = None,
    ) -> Case:
        """One session ready to be judged. Raises Rejected 404 for an unknown person or place."""
        settings, revision = self._settings
        stretches, catalogue = self._catalogue
        facility = self.facility(place.facility_id)
        known = client or self.client
        return Case(
            facts=Facts(
                client=with_usual_pain(known, answers),
                practitioner=self.person(place.practitioner_id),
                facility=_policy(facility),
                day=place.day,
                limits=self._law(facility.jurisdiction, place.day),
                supervision=self._supervision(place),
                treatment=self._treatment(place.day),
                arrival=arrival_of(answers),
                stop=stop_of(stop),
                session_id=session_id,
                watched_limbs=self._watch.limbs(known),
                settings_revision=revision,
                catalogue_version=catalogue,
            ),
            stretches=stretches,
            settings=settings,
            revisions={"permissions": revision},
        )

    def session(self, session: Booked, *, stopped: bool = False) -> Case:
        """A session as it stands, its arrival answers included; ``stopped``: after the stop."""
        return self.case(
            Place(session.practitioner_id, session.facility_id, session.local_date),
            session_id=session.id,
            answers=session.answers,
            stop=session.stop if stopped else None,
        )

    def red(self, answers: Answers) -> frozenset[RedFlag]:
        """The red flags that arrival answers hold for this client, new swelling included."""
        facts = Facts(client=self.client, practitioner=NOBODY, facility=NOWHERE, day=date.min)
        return red_flags_in(facts, answers, self._settings[0])

    def day(self, calendar: Calendar, day: date) -> Today:
        """What she said on a local day in any of her sessions."""
        return today(calendar.sessions.values(), day, self.red)

    def now(self, session: Booked, calendar: Calendar) -> Case:
        """A session as it may be now: by its own answers and stop, and, while it is open, by a
        red flag of any other session of that day. Before she has come, the day's earlier
        answers stand in, their yes to hands-on excepted."""
        own = self.session(session, stopped=True)
        if session.status not in HOLDS_TIME:
            return own
        said = self.day(calendar, session.local_date)
        if said.answers is None or said.session_id == session.id:
            return own
        if session.answers is not None and not said.red:
            return own
        return self.case(
            Place(session.practitioner_id, session.facility_id, session.local_date),
            session_id=session.id,
            answers=for_another(said.answers, session.answers),
            stop=session.stop,
        )

    def facility(self, facility_id: UUID) -> Facility:
        """A facility, read once."""
        if facility_id not in self._facilities:
            found = Facility.objects.filter(pk=facility_id).first()
            if found is None:
                raise not_found("facility")
            self._facilities[facility_id] = found
        return self._facilities[facility_id]

    def person(self, practitioner_id: UUID) -> inputs.PractitionerFacts:
        """A practitioner with licences and signed-off techniques, read once."""
        if practitioner_id not in self._people:
            found = Practitioner.objects.filter(pk=practitioner_id).first()
            if found is None:
                raise not_found("practitioner")
            self._people[practitioner_id] = _person(found)
        return self._people[practitioner_id]

    @cached_property
    def _settings(self) -> tuple[PermissionSettings, int]:
        return settings_group("permissions", PermissionSettings)

    @cached_property
    def _catalogue(self) -> tuple[Sequence[StretchSpec], int]:
        return catalogue_specs()

    @cached_property
    def _watch(self) -> Watch:
        return Watch(self.client_id)

    @cached_property
    def _visits(self) -> list[date]:
        came = (Status.ARRIVED, Status.COMPLETED)
        found = Session.objects.filter(client_id=self.client_id, status__in=came)
        return sorted(found.values_list("local_date", flat=True))

    def _treatment(self, day: date) -> inputs.Treatment:
        before = [visit for visit in self._visits if visit < day]
        return inputs.Treatment(
            first_visit_on=before[0] if before else None, visits_before=len(before)
        )

    def _law(self, jurisdiction: str, day: date) -> tuple[inputs.LimitRow, ...]:
        if (jurisdiction, day) not in self._limits:
            self._limits[jurisdiction, day] = tuple(
                inputs.LimitRow(
                    id=row.id,
                    jurisdiction=row.jurisdiction,
                    credential=Credential(row.credential),
                    activity=Activity(row.activity),
                    allowance=Allowance(row.allowance),
                    source=row.source,
                    pathology=PATHOLOGY[Pathology(row.pathology)],
                    effective_from=row.effective_from,
                    effective_until=row.effective_to,
                    verified_on=row.verified_on,
                    days_without_physician=row.direct_access_days,
                    visits_without_physician=row.direct_access_visits,
                )
                for row in limits_on(jurisdiction, day)
            )
        return self._limits[jurisdiction, day]

    def _supervision(self, place: Place) -> inputs.Supervision | None:
        found = supervisor_on(place.practitioner_id, place.facility_id, place.day)
        if found is None:
            return None
        works = WorkingHours.objects.filter(
            practitioner_id=found.supervisor_id,
            facility_id=place.facility_id,
            weekday=place.day.isoweekday(),
        ).exists()
        supervisor = self.person(found.supervisor_id)
        return inputs.Supervision(supervisor=supervisor, works_there_that_day=works)


def _person(row: Practitioner) -> inputs.PractitionerFacts:
    return inputs.PractitionerFacts(
        practitioner_id=row.id,
        credential=Credential(row.credential),
        gender=Gender(row.gender) if row.gender in GENDERS else None,
        licences=tuple(
            inputs.Licence(
                jurisdiction=one.jurisdiction,
                credential=Credential(one.credential),
                valid_from=one.valid_from,
                expires_on=one.expires_on,
            )
            for one in licences_of(row.id)
        ),
        competences=tuple(
            inputs.Competence(technique=Technique(one.technique), signed_off_on=one.signed_off_on)
            for one in competences_of(row.id)
        ),
        works_here=row.is_active,
    )


def _policy(facility: Facility) -> inputs.FacilityPolicy:
    """The facility's own rules on stretching by hand; they only narrow."""
    rows = [row for row in facility_policies(facility.id) if row.activity in HANDS_ON_ACTIVITIES]
    barred = [row.technique for row in rows if row.allowance == Allowance.NOT_ALLOWED]
    supervised = [row.technique for row in rows if row.allowance == Allowance.UNDER_SUPERVISION]
    return inputs.FacilityPolicy(
        facility_id=facility.id,
        jurisdiction=facility.jurisdiction,
        hands_on="" not in barred,
        techniques_barred=_named(barred),
        techniques_supervised=tuple(Technique) if "" in supervised else _named(supervised),
    )


def _named(techniques: list[str]) -> tuple[Technique, ...]:
    return tuple(Technique(one) for one in techniques if one)
