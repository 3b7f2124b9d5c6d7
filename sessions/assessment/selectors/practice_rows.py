"""People, places, law and settings as permissions take them: now, or as known at an instant."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from datetime import date, datetime
from typing import Any, TypeVar, cast
from uuid import UUID

from clients.clinical.domain.facts import ClientFacts
from clients.permissions.domain import inputs
from clients.permissions.domain.consent import signed_as_adult
from practice.core.reasons import existing
from practice.core.terms import (
    Activity,
    Allowance,
    Credential,
    Gender,
    SupervisionLevel,
    Technique,
)
from practice.law.models import HIGHEST_CONSENT_AGE, ConsentAge, JurisdictionLimit, Pathology
from practice.law.selectors import in_effect_on
from practice.people_and_places.models.facilities import Facility, FacilityRule
from practice.people_and_places.models.practitioners import (
    Competence,
    Licence,
    Practitioner,
    Supervision,
)
from practice.people_and_places.selectors.kept import (
    Place,
    SupervisionOfDay,
    colleagues_at,
    place_of,
    places,
    supervision_of,
    supervisions_on,
)
from practice.policy.as_known import lists_as_known, rows_as_known, settings_as_known
from practice.policy.rows import RevisionedModel
from practice.policy.selectors import settings_group
from practice.work.request_cache import memoize
from sessions.calendar.selectors.facilities import facility_calendar
from sessions.catalogue.models import Stretch
from sessions.catalogue.selectors import Catalogue, catalogue, catalogue_of

HANDS_ON_ACTIVITIES = ("", Activity.ASSISTED_STRETCHING)
GENDERS = frozenset(Gender)
PATHOLOGY = {Pathology.TREATED: True, Pathology.NONE: False, Pathology.ANY: None}

Row = TypeVar("Row", bound=RevisionedModel)
Group = TypeVar("Group")
T = TypeVar("T")


class PracticeRows:
    """The practice's tables, each read once; ``known_at`` None: as they stand now."""

    def __init__(self, known_at: datetime | None = None) -> None:
        self.known_at = known_at
        self._read: dict[Hashable, Any] = {}

    def settings(self, group: str, shape: type[Group]) -> tuple[Group, int]:
        """A group of settings and its revision."""
        if self.known_at is None:
            return settings_group(group, shape)
        return settings_as_known(group, shape, self.known_at)

    def facility(self, facility_id: UUID) -> Place:
        """A facility. Raises Rejected 404."""
        if self.known_at is None:
            return existing(places().get(facility_id), "facility")
        found = next(iter(self._found(Facility, pk=facility_id)), None)
        return place_of(existing(found, "facility"))

    def facility_facts(self, facility_id: UUID) -> inputs.FacilityFacts:
        """A facility with its own rules on stretching by hand; they only narrow."""
        return self._once(("facility facts", facility_id), lambda: self._facility(facility_id))

    def person(self, practitioner_id: UUID) -> inputs.PractitionerFacts:
        """A practitioner with licences and signed-off techniques. Raises Rejected 404."""
        return self._once(("practitioner", practitioner_id), lambda: self._person(practitioner_id))

    def supervision(
        self, practitioner_id: UUID, facility_id: UUID, day: date
    ) -> SupervisionOfDay | None:
        """Who supervises a practitioner at a facility on one of its local days."""
        if self.known_at is None:
            rows = supervisions_on(facility_id, day)
        else:
            found = self._found(Supervision, facility_id=facility_id, day=day)
            rows = tuple(supervision_of(one) for one in found)
        return next((one for one in rows if one.supervised_id == practitioner_id), None)

    def law(self, jurisdiction: str) -> tuple[inputs.JurisdictionLimitFacts, ...]:
        """The rows of law of a jurisdiction, past ones too."""
        return self._once(("law", jurisdiction), lambda: self._law(jurisdiction))

    def consent_age(
        self, client: ClientFacts, jurisdiction: str, day: date
    ) -> inputs.ConsentAgeFacts | None:
        """The age of medical consent on a day, asked only for a client whom it can concern;
        None: there is no row."""
        if signed_as_adult(client, HIGHEST_CONSENT_AGE):
            return None
        row = in_effect_on(self._found(ConsentAge, jurisdiction=jurisdiction), day)
        if row is None:
            return None
        return inputs.ConsentAgeFacts(
            years=row.years, source=row.source, verified=row.verified_on is not None
        )

    def catalogue(self) -> Catalogue:
        """The stretches in use and the catalogue's version."""
        return catalogue() if self.known_at is None else catalogue_of(self._found(Stretch))

    def works_on(self, practitioner_id: UUID, facility_id: UUID, day: date) -> bool:
        """Whether someone works at a facility on one of its local days."""
        zone = self.facility(facility_id).zone
        calendar = facility_calendar(facility_id, zone, (practitioner_id,), known_at=self.known_at)
        return calendar.works_on(practitioner_id, day)

    def works_at(self, practitioner_id: UUID, facility_id: UUID) -> bool:
        """Whether a facility is one of those where someone works, on whichever day."""
        if self.known_at is None:
            return practitioner_id in colleagues_at(facility_id)
        then = self._once("facilities", self._facilities_then).get(str(practitioner_id))
        if then is None:
            found = Practitioner.objects.filter(pk=practitioner_id, facilities=facility_id)
            return found.exists()
        return str(facility_id) in then

    def _facilities_then(self) -> dict[str, list[Any]]:
        """The facilities of each practitioner who was changed since."""
        known_at = cast("datetime", self.known_at)
        return lists_as_known(Practitioner, "facilities", known_at)

    def _once(self, key: Hashable, read: Callable[[], T]) -> T:
        """What is made of rows as they stand now is every request's; of another time, ours."""
        if self.known_at is None:
            return memoize(key, read)
        if key not in self._read:
            self._read[key] = read()
        return cast("T", self._read[key])

    def _found(self, model: type[Row], **same: Any) -> Sequence[Row]:
        if self.known_at is None:
            return list(model._default_manager.filter(**same))
        known_at = self.known_at
        return [
            row
            for row in self._once(model, lambda: rows_as_known(model, known_at))
            if all(getattr(row, name) == value for name, value in same.items())
        ]

    def _facility(self, facility_id: UUID) -> inputs.FacilityFacts:
        rules = [
            row
            for row in self._found(FacilityRule, facility_id=facility_id)
            if row.activity in HANDS_ON_ACTIVITIES
        ]
        barred = [row.technique for row in rules if row.allowance == Allowance.NOT_ALLOWED]
        supervised = [
            row.technique for row in rules if row.allowance == Allowance.UNDER_SUPERVISION
        ]
        return inputs.FacilityFacts(
            facility_id=facility_id,
            jurisdiction=self.facility(facility_id).jurisdiction,
            hands_on="" not in barred,
            techniques_barred=_techniques(barred),
            techniques_supervised=tuple(Technique) if "" in supervised else _techniques(supervised),
        )

    def _law(self, jurisdiction: str) -> tuple[inputs.JurisdictionLimitFacts, ...]:
        rows = self._found(JurisdictionLimit, jurisdiction=jurisdiction)
        return tuple(map(_limit, sorted(rows, key=lambda row: row.pk)))

    def _person(self, practitioner_id: UUID) -> inputs.PractitionerFacts:
        found = next(iter(self._found(Practitioner, pk=practitioner_id)), None)
        row = existing(found, "practitioner")
        licences = self._found(Licence, practitioner_id=row.pk)
        competences = self._found(Competence, practitioner_id=row.pk)
        return inputs.PractitionerFacts(
            practitioner_id=row.pk,
            credential=Credential(row.credential),
            gender=Gender(row.gender) if row.gender in GENDERS else None,
            licences=tuple(
                inputs.LicenceFacts(
                    id=one.pk,
                    revision=one.revision,
                    jurisdiction=one.jurisdiction,
                    credential=Credential(one.credential),
                    valid_from=one.valid_from,
                    expires_on=one.expires_on,
                )
                for one in sorted(licences, key=lambda one: (one.expires_on, one.pk))
            ),
            competences=tuple(
                inputs.CompetenceFacts(
                    id=one.pk,
                    revision=one.revision,
                    technique=Technique(one.technique),
                    signed_off_on=one.signed_off_on,
                )
                for one in sorted(competences, key=lambda one: one.technique)
            ),
            works_here=row.is_active,
        )


def _limit(row: JurisdictionLimit) -> inputs.JurisdictionLimitFacts:
    return inputs.JurisdictionLimitFacts(
        id=row.pk,
        revision=row.revision,
        jurisdiction=row.jurisdiction,
        credential=Credential(row.credential),
        activity=Activity(row.activity),
        allowance=Allowance(row.allowance),
        source=row.source,
        pathology=PATHOLOGY[Pathology(row.pathology)],
        effective_from=row.effective_from,
        effective_to=row.effective_to,
        verified_on=row.verified_on,
        direct_access_days=row.direct_access_days,
        direct_access_visits=row.direct_access_visits,
        supervision=SupervisionLevel(row.supervision),
        payer_id=row.payer_id,
    )


def _techniques(names: list[str]) -> tuple[Technique, ...]:
    return tuple(Technique(one) for one in names if one)
