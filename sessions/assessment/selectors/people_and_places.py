"""What permissions are given of a practitioner and a facility, from the practice's tables."""

from __future__ import annotations

from clients.permissions.domain import inputs
from practice.core.terms import Activity, Allowance, Credential, Gender, Technique
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.selectors.facilities import facility_rules
from practice.people_and_places.selectors.practitioners import (
    competences_of,
    licences_of,
)

HANDS_ON_ACTIVITIES = ("", Activity.ASSISTED_STRETCHING)
GENDERS = frozenset(Gender)


def practitioner_facts(row: Practitioner) -> inputs.PractitionerFacts:
    """A practitioner with licences and signed-off techniques."""
    return inputs.PractitionerFacts(
        practitioner_id=row.id,
        credential=Credential(row.credential),
        gender=Gender(row.gender) if row.gender in GENDERS else None,
        licences=tuple(
            inputs.LicenceFacts(
                jurisdiction=one.jurisdiction,
                credential=Credential(one.credential),
                valid_from=one.valid_from,
                expires_on=one.expires_on,
            )
            for one in licences_of(row.id)
        ),
        competences=tuple(
            inputs.CompetenceFacts(
                technique=Technique(one.technique), signed_off_on=one.signed_off_on
            )
            for one in competences_of(row.id)
        ),
        works_here=row.is_active,
    )


def facility_facts(facility: Facility) -> inputs.FacilityFacts:
    """The facility's own rules on stretching by hand; they only narrow."""
    rows = [row for row in facility_rules(facility.id) if row.activity in HANDS_ON_ACTIVITIES]
    barred = [row.technique for row in rows if row.allowance == Allowance.NOT_ALLOWED]
    supervised = [row.technique for row in rows if row.allowance == Allowance.UNDER_SUPERVISION]
    return inputs.FacilityFacts(
        facility_id=facility.id,
        jurisdiction=facility.jurisdiction,
        hands_on="" not in barred,
        techniques_barred=_named(barred),
        techniques_supervised=tuple(Technique) if "" in supervised else _named(supervised),
    )


def _named(techniques: list[str]) -> tuple[Technique, ...]:
    return tuple(Technique(one) for one in techniques if one)
