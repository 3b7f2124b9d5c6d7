"""Gathers what a session is judged by: law, people, places, the catalogue, the client's record."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime
from functools import cached_property
from uuid import UUID

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.terms import RedFlag
from clients.permissions.domain import inputs
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.permissions.domain.stretch import StretchSpec
from practice.core.terms import Credential
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.supervision import SupervisionSettings
from practice.work import loading
from sessions.assessment.domain.assessment import (
    Assessment,
    arrival_input,
    red_flags_in,
    stop_input,
    with_usual_pain,
)
from sessions.assessment.domain.day_answers import (
    DayAnswers,
    answers_for_other_session,
    answers_of_day,
)
from sessions.assessment.selectors.extensions import payers_of, programme_of
from sessions.assessment.selectors.practice_rows import PracticeRows
from sessions.calendar.domain.events import SubmittedArrivalAnswers
from sessions.calendar.domain.state import (
    CALENDAR,
    TIME_HOLDING_STATUSES,
    CalendarState,
    SessionState,
    SessionStatus,
    SessionStop,
)
from sessions.calendar.models import Session
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.catalogue.selectors import catalogue_specs
from sessions.measurements.selectors.circumferences import SwellingWatch

NOBODY = inputs.PractitionerFacts(
    practitioner_id=UUID(int=0), credential=Credential.PERSONAL_TRAINER
)
NOWHERE = inputs.FacilityFacts(facility_id=UUID(int=0), jurisdiction="")
"""Red flags are the client's own: whoever works with her, wherever."""


@dataclass(frozen=True, slots=True)
class AssessmentPlace:
    """With whom, where and on which local day: what law and people are read for."""

    practitioner_id: UUID
    facility_id: UUID
    day: date


class SessionAssessor:
    """Judges the sessions of one client; what it read once serves all of them.

    Made anew in every unit of work, after the locks: settings are never kept longer. With
    ``known_at`` people, law, settings, programme and measurements are those known then; hours
    and the catalogue keep no history and are those of now.
    """

    def __init__(
        self, client_id: UUID, client: ClientFacts, *, known_at: datetime | None = None
    ) -> None:
        self.client_id = client_id
        self.client = client
        self._practice = PracticeRows(known_at)

    def case(
        self,
        place: AssessmentPlace,
        *,
        session_id: UUID | None = None,
        answers: SubmittedArrivalAnswers | None = None,
        stop: SessionStop | None = None,
        client: ClientFacts | None = None,
    ) -> Assessment:
        """One session ready to be judged. Raises Rejected 404 for an unknown person or place."""
        settings, revision = self._settings
        stretches, catalogue = self._catalogue
        facility = self._practice.facility_facts(place.facility_id)
        known = client or self.client
        return Assessment(
            facts=PermissionFacts(
                client=with_usual_pain(known, answers),
                practitioner=self._practice.person(place.practitioner_id),
                facility=facility,
                day=place.day,
                limits=self._practice.law(facility.jurisdiction),
                supervision=self._supervision(place),
                treatment=self._treatment(place.day),
                arrival=arrival_input(answers),
                stop=stop_input(stop),
                session_id=session_id,
                watched_limbs=self._watch.limbs(known),
                settings_revision=revision,
                catalogue_version=catalogue,
                payers=payers_of(self.client_id, place.day),
                programme=self._programme,
            ),
            stretches=stretches,
            settings=settings,
            revisions={"permissions": revision, "supervision": self._supervision_settings[1]},
        )

    def session(self, session: SessionState, *, stopped: bool = False) -> Assessment:
        """A session as it stands, its arrival answers included; ``stopped``: after the stop."""
        return self.case(
            AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date),
            session_id=session.id,
            answers=session.answers,
            stop=session.stop if stopped else None,
        )

    def red_flags(self, answers: SubmittedArrivalAnswers) -> frozenset[RedFlag]:
        """The red flags that arrival answers hold for this client, new swelling included."""
        facts = PermissionFacts(
            client=self.client, practitioner=NOBODY, facility=NOWHERE, day=date.min
        )
        return red_flags_in(facts, answers, self._settings[0])

    def day(self, calendar: CalendarState, day: date) -> DayAnswers:
        """What she said on a local day in any of her sessions."""
        return answers_of_day(calendar.sessions.values(), day, self.red_flags)

    def now(self, session: SessionState, calendar: CalendarState) -> Assessment:
        """A session as it may be now: by its own answers and stop, and, while it is open, by a
        red flag of any other session of that day. Before she has come, the day's earlier
        answers stand in, their yes to hands-on excepted."""
        own = self.session(session, stopped=True)
        if session.status not in TIME_HOLDING_STATUSES:
            return own
        said = self.day(calendar, session.local_date)
        if said.answers is None or said.session_id == session.id:
            return own
        if session.answers is not None and not said.red_flags:
            return own
        return self.case(
            AssessmentPlace(session.practitioner_id, session.facility_id, session.local_date),
            session_id=session.id,
            answers=answers_for_other_session(said.answers, session.answers),
            stop=session.stop,
        )

    def facility(self, facility_id: UUID) -> Facility:
        """A facility. Raises Rejected 404."""
        return self._practice.facility(facility_id)

    @property
    def evaluating_credentials(self) -> tuple[Credential, ...]:
        """Who may evaluate, by the practice's table."""
        return self._supervision_settings[0].evaluating_credentials

    @cached_property
    def _settings(self) -> tuple[PermissionSettings, int]:
        return self._practice.settings("permissions", PermissionSettings)

    @cached_property
    def _supervision_settings(self) -> tuple[SupervisionSettings, int]:
        return self._practice.settings("supervision", SupervisionSettings)

    @cached_property
    def _catalogue(self) -> tuple[Sequence[StretchSpec], int]:
        return catalogue_specs()

    @cached_property
    def _watch(self) -> SwellingWatch:
        return SwellingWatch(self.client_id, self._practice.known_at)

    @cached_property
    def _visits(self) -> list[date]:
        attended = (SessionStatus.ARRIVED, SessionStatus.COMPLETED)
        known_at = self._practice.known_at
        if known_at is not None:
            known = loading.load_states(self.client_id, (CALENDAR,), known_at=known_at)
            sessions = known[CALENDAR].sessions.values()
            return sorted(one.local_date for one in sessions if one.status in attended)
        found = Session.objects.filter(client_id=self.client_id, status__in=attended)
        return sorted(found.values_list("local_date", flat=True))

    def _treatment(self, day: date) -> inputs.TreatmentFacts:
        before = [visit for visit in self._visits if visit < day]
        return inputs.TreatmentFacts(
            first_visit_on=before[0] if before else None, visits_before=len(before)
        )

    @cached_property
    def _programme(self) -> tuple[inputs.ProgrammeStretch, ...]:
        return programme_of(self.client_id, self._practice.known_at)

    def _supervision(self, place: AssessmentPlace) -> inputs.SupervisionFacts | None:
        found = self._practice.supervision(place.practitioner_id, place.facility_id, place.day)
        if found is None:
            return None
        zone = self._practice.facility(place.facility_id).zone
        calendar = facility_calendar(place.facility_id, zone, (found.supervisor_id,))
        supervisor = self._practice.person(found.supervisor_id)
        supervised = self._practice.person(place.practitioner_id)
        return inputs.SupervisionFacts(
            id=found.pk,
            revision=found.revision,
            supervisor=supervisor,
            works_there_that_day=calendar.works_on(found.supervisor_id, place.day),
            entitled=self._supervision_settings[0].entitled(
                supervisor.credential, supervised.credential
            ),
        )
