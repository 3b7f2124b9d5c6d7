"""What judges sessions: settings, law, licences, competences, policy, supervision."""

from __future__ import annotations

from datetime import date
from typing import Any, TypeVar
from uuid import UUID

import msgspec
from django.db.models import Q, QuerySet

from practice.domain.terms import Credential
from practice.eventlog.unit import once
from practice.models import (
    Competence,
    FacilityPolicy,
    JurisdictionLimit,
    Licence,
    PracticeSetting,
    Supervision,
)

Group = TypeVar("Group")


def settings_group(group: str, shape: type[Group]) -> tuple[Group, int]:
    """The settings of a group as its frozen struct, and the group's revision.

    The revision grows with every change of any of its settings.
    """
    rows = once("settings", _every_setting).get(group, [])
    values = {key: value for key, value, _ in rows}
    return msgspec.convert(values, shape), sum(revision for _, _, revision in rows)


def _every_setting() -> dict[str, list[tuple[str, Any, int]]]:
    """All settings by group: a unit of work that needs several groups asks once."""
    found: dict[str, list[tuple[str, Any, int]]] = {}
    rows = PracticeSetting.objects.values_list("group", "key", "value", "revision")
    for group, key, value, revision in rows:
        found.setdefault(group, []).append((key, value, revision))
    return found


def limits_on(
    jurisdiction: str, day: date, credential: Credential | None = None
) -> QuerySet[JurisdictionLimit]:
    """The rows of law in effect on a day."""
    rows = JurisdictionLimit.objects.filter(
        Q(effective_to=None) | Q(effective_to__gte=day),
        jurisdiction=jurisdiction,
        effective_from__lte=day,
    ).order_by("credential", "activity", "pathology", "effective_from", "id")
    return rows if credential is None else rows.filter(credential=credential)


def licences_of(practitioner_id: UUID) -> QuerySet[Licence]:
    """The licences of a practitioner, expired ones too."""
    return Licence.objects.filter(practitioner_id=practitioner_id).order_by("expires_on", "id")


def competences_of(practitioner_id: UUID) -> QuerySet[Competence]:
    """The techniques that a practitioner is signed off for."""
    return Competence.objects.filter(practitioner_id=practitioner_id).order_by("technique")


def facility_policies(facility_id: UUID) -> QuerySet[FacilityPolicy]:
    """What a facility says beyond the law."""
    return FacilityPolicy.objects.filter(facility_id=facility_id).order_by(
        "activity", "technique", "id"
    )


def supervisor_on(practitioner_id: UUID, facility_id: UUID, day: date) -> Supervision | None:
    """Who supervises a practitioner at a facility on one of its local days."""
    return (
        Supervision.objects.filter(supervised_id=practitioner_id, facility_id=facility_id, day=day)
        .select_related("supervisor")
        .first()
    )
