"""What a verdict rests on: the rows, orders and revisions that it used."""

from __future__ import annotations

from collections.abc import Iterator

from clients.clinical.domain.orders_in_force import in_force
from clients.permissions.domain import competence, law
from clients.permissions.domain.inputs import (
    CompetenceFacts,
    JurisdictionLimitFacts,
    LicenceFacts,
    PermissionFacts,
    SupervisionFacts,
)
from clients.permissions.domain.results import EvaluatedVersions, UsedRow, UsedRowKind
from practice.core.terms import Activity, Technique

ACTIVITIES = (Activity.ASSISTED_STRETCHING, Activity.EXERCISE_INSTRUCTION)


def evaluated_versions(facts: PermissionFacts, rules: int) -> EvaluatedVersions:
    """Everything that the verdicts of ``facts`` used; ``rules`` is the version of the code's."""
    rows = tuple(sorted(set(used_rows(facts))))
    return EvaluatedVersions(
        rules=rules,
        settings=facts.settings_revision,
        record=facts.client.record_version,
        catalogue=facts.catalogue_version,
        consent_id=facts.client.consent.consent_id,
        limit_rows=tuple(row.id for row in rows if row.kind is UsedRowKind.LIMIT),
        rows=rows,
        orders=tuple(sorted(one.id for one in facts.client.orders if in_force(one, facts.day))),
    )


def used_rows(facts: PermissionFacts) -> Iterator[UsedRow]:
    """The rows of the practice's tables that bear on the practitioner, the place and the day."""
    place, day = facts.facility.jurisdiction, facts.day
    for licence in law.valid_licences(facts.practitioner, place, day):
        yield from _row(UsedRowKind.LICENCE, licence)
    for technique in Technique:
        for sign_off in competence.sign_offs(facts, technique):
            yield from _row(UsedRowKind.SIGN_OFF, sign_off)
    for activity in ACTIVITIES:
        for limit in law.limits_in_effect(facts, activity):
            yield from _row(UsedRowKind.LIMIT, limit)
    if facts.supervision is not None:
        yield from _row(UsedRowKind.SUPERVISION, facts.supervision)
        for licence in law.valid_licences(facts.supervision.supervisor, place, day):
            yield from _row(UsedRowKind.SUPERVISOR_LICENCE, licence)


def _row(
    kind: UsedRowKind,
    row: LicenceFacts | CompetenceFacts | JurisdictionLimitFacts | SupervisionFacts,
) -> Iterator[UsedRow]:
    if row.id is not None:
        yield UsedRow(kind=kind, id=row.id, revision=row.revision)
