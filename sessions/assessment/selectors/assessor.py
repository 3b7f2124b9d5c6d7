"""Gathers what a session is evaluated by: law, people, places, catalogue, the client's record."""

from __future__ import annotations

from collections.abc import Hashable
from datetime import date, datetime
from functools import cached_property
from uuid import UUID

import msgspec

from clients.clinical.domain.facts import ClientFacts
from clients.health.domain.terms import RedFlag
from clients.permissions.domain import inputs
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.kinds import kind_of
from clients.permissions.domain.load import day_bars, load_permissions
from clients.permissions.domain.results import LoadPermission
from clients.permissions.domain.settings import PermissionSettings
from practice.core.terms import Credential
from practice.people_and_places.selectors.kept import Place
from practice.people_and_places.supervision import SupervisionSettings
from practice.work import loading
from sessions.assessment.domain.assessment import (
    Assessment,
    arrival_input,
    red_flags_in,
    stop_input,
)
from sessions.assessment.domain.day_answers import (
    DayAnswers,
    answers_for_other_session,
    answers_of_day,
)
from sessions.assessment.domain.said_today import with_said_today
from sessions.assessment.domain.standing_signs import (
    NO_SIGNS,
    StandingSigns,
    evaluated_until,
    standing_signs,
    words_said,
)
from sessions.assessment.selectors.extensions import PayersOfDay, payers_of, programme_of
from sessions.assessment.selectors.places import AssessmentPlace, place_bars, place_of_session
from sessions.assessment.selectors.practice_rows import PracticeRows
from sessions.calendar.domain.session_state import (
    TIME_HOLDING_STATUSES,
    CalendarState,
    SessionState,
    SessionStatus,
    SessionStop,
)
from sessions.calendar.domain.state import CALENDAR
from sessions.calendar.domain.terms import SubmittedArrivalAnswers
from sessions.calendar.models import Session
from sessions.measurements.selectors.circumferences import SwellingWatch

NOBODY = inputs.PractitionerFacts(
    practitioner_id=UUID(int=0), credential=Credential.PERSONAL_TRAINER
)
NOWHERE = inputs.FacilityFacts(facility_id=UUID(int=0), jurisdiction="")


class SessionAssessor:
    """Evaluates the sessions of one client; what it read once serves all of them.

    Made anew in every unit of work, after the locks: settings are never kept longer.
    ``calendar``: whose red flags count for the lines of a note. With ``known_at`` everything on
    record is as it was known then: people and their hours, law, the catalogue, settings, payers,
    programme and measurements. The rules in the program are those of now.
    """

    def __init__(
        self,
        client_id: UUID,
        client: ClientFacts,
        calendar: CalendarState | None = None,
        *,
        known_at: datetime | None = None,
    ) -> None:
        self.client_id = client_id
        self.client = client
        self.calendar = calendar
        self._practice = PracticeRows(known_at)

    def case(
        self,
        place: AssessmentPlace,
        *,
        session_id: UUID | None = None,
        answers: SubmittedArrivalAnswers | None = None,
        stop: SessionStop | None = None,
        client: ClientFacts | None = None,
        signs: StandingSigns = NO_SIGNS,
    ) -> Assessment:
        """One session, ready to be evaluated. Raises Rejected 404."""
        settings, revision = self._settings
        catalogue = self._practice.catalogue()
        facility = self._practice.facility_facts(place.facility_id)
        known = client or self.client
        return Assessment(
            facts=PermissionFacts(
                client=with_said_today(known, answers),
                practitioner=self._practice.person(place.practitioner_id),
                facility=facility,
                day=place.day,
                limits=self._practice.law(facility.jurisdiction),
                consent_age=self._practice.consent_age(known, facility.jurisdiction, place.day),
                supervision=self._supervision(place),
                treatment=self._treatment(place.day),
                arrival=arrival_input(answers, signs),
                stop=stop_input(stop),
                session_id=session_id,
                watched_limbs=self._watch.limbs(known, place.day),
                growing_limbs=self._watch.growing(known, place.day),
                settings_revision=revision,
                catalogue_version=catalogue.version,
                payers=self._payers(place.day),
                programme=self._programme,
                place_bars=place_bars(self._practice, place),
            ),
            stretches=catalogue.specs,
            settings=settings,
            revisions={"permissions": revision, "supervision": self._supervision_settings[1]},
        )

    def session(self, session: SessionState, *, stopped: bool = False) -> Assessment:
        """A session as it stands, its arrival answers included; ``stopped``: after the stop."""
        return self.case(
            place_of_session(session),
            session_id=session.id,
            answers=session.answers,
            stop=session.stop if stopped else None,
        )

    def alone(self, day: date, said: DayAnswers | None = None) -> Assessment:
        """What the client may do alone on a local day: with nobody, so that no preference or
        law of a place speaks, and nowhere in particular. ``said``: what stands of that day."""
        said = said or DayAnswers()
        answers, stop = said.answers, said.stop
        settings, revision = self._settings
        catalogue = self._practice.catalogue()
        client = msgspec.structs.replace(self.client, preference=None)
        return Assessment(
            facts=PermissionFacts(
                client=with_said_today(client, answers),
                practitioner=NOBODY,
                facility=NOWHERE,
                day=day,
                arrival=arrival_input(answers, said.signs),
                stop=stop_input(stop),
                watched_limbs=self._watch.limbs(client, day),
                growing_limbs=self._watch.growing(client, day),
                settings_revision=revision,
                catalogue_version=catalogue.version,
            ),
            stretches=catalogue.specs,
            settings=settings,
            revisions={"permissions": revision},
        )

    def load(self, day: date, said: DayAnswers) -> tuple[LoadPermission, ...]:
        """Which limbs may carry load on a local day, with whomever and wherever."""
        case = self.alone(day, said)
        return load_permissions(case.facts, day_bars(case.facts, case.settings), case.settings)

    def red_flags(self, answers: SubmittedArrivalAnswers) -> frozenset[RedFlag]:
        """The red flags in arrival answers by the practice's thresholds, new swelling included."""
        facts = PermissionFacts(
            client=self.client, practitioner=NOBODY, facility=NOWHERE, day=date.min
        )
        return red_flags_in(facts, answers, self._settings[0])

    def day(self, calendar: CalendarState, day: date) -> DayAnswers:
        """What the client said on a local day in any session, and what stands on it."""
        return answers_of_day(calendar.sessions.values(), day)

    def signs(self, session: SessionState) -> StandingSigns:
        """The red flags and words that stood for the work of a session."""
        return NO_SIGNS if self.calendar is None else _signs(self.calendar, session, session.id)

    def words(self, answers: SubmittedArrivalAnswers) -> str:
        """The free words in answers that say something; empty for "none" and its like."""
        return words_said(answers, self.settings.words_for_nothing)

    def now(self, session: SessionState, calendar: CalendarState) -> Assessment:
        """A session as it may be now: by its own answers and stop and by every red flag that
        stands. Before the client has come, the day's earlier answers stand in, their yes to
        hands-on excepted."""
        said = self.day(calendar, session.local_date)
        open_now = session.status in TIME_HOLDING_STATUSES
        answers, answered_in = session.answers, session.id
        if open_now and answers is None and said.answers is not None:
            answers = answers_for_other_session(said.answers)
            answered_in = said.session_id or session.id
        return self.case(
            place_of_session(session),
            session_id=session.id,
            answers=answers,
            stop=session.stop,
            signs=_signs(calendar, session, answered_in),
        )

    def facility(self, facility_id: UUID) -> Place:
        """A facility, read once. Raises Rejected 404."""
        return self._practice.facility(facility_id)

    def person(self, practitioner_id: UUID) -> inputs.PractitionerFacts:
        """A practitioner with licences and signed-off techniques, read once."""
        return self._practice.person(practitioner_id)

    def kind(self, place: AssessmentPlace) -> Hashable:
        """Alike for two practitioners with whom the same is permitted there on that day."""
        person = self._practice.person(place.practitioner_id)
        return place.facility_id, place.day, kind_of(self.client, person, self._supervision(place))

    @property
    def settings(self) -> PermissionSettings:
        """The practice's thresholds for permissions."""
        return self._settings[0]

    @cached_property
    def _settings(self) -> tuple[PermissionSettings, int]:
        return self._practice.settings("permissions", PermissionSettings)

    @cached_property
    def _supervision_settings(self) -> tuple[SupervisionSettings, int]:
        return self._practice.settings("supervision", SupervisionSettings)

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

    @cached_property
    def _payers(self) -> PayersOfDay:
        return payers_of(self.client_id, self._practice.known_at)

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
        supervisor = self._practice.person(found.supervisor_id)
        supervised = self._practice.person(place.practitioner_id)
        return inputs.SupervisionFacts(
            id=found.id,
            revision=found.revision,
            supervisor=supervisor,
            works_there_that_day=self._practice.works_on(
                found.supervisor_id, place.facility_id, place.day
            ),
            entitled=self._supervision_settings[0].entitled(
                supervisor.credential, supervised.credential
            ),
            co_signs=found.co_signs,
        )


def _signs(calendar: CalendarState, session: SessionState, answered_in: UUID) -> StandingSigns:
    """What stands for a session, by the answers of the session that they were given in."""
    return standing_signs(
        calendar.sessions.values(),
        session.local_date,
        answered_in=answered_in,
        at=evaluated_until(session),
    )
