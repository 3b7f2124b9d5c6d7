"""What sessions are evaluated by: settings, law, licences, competences, policy, supervision."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from django.db.models import Exists, OuterRef, QuerySet

from practice.core.reasons import existing
from practice.people_and_places.models.practitioners import (
    Competence,
    Licence,
    Practitioner,
    Supervision,
)


def practitioner_name(practitioner_id: UUID) -> str:
    """The name of a practitioner, empty where there is none with that id."""
    names = Practitioner.objects.filter(pk=practitioner_id).values_list("name", flat=True)
    return names.first() or ""


def licences_of(practitioner_id: UUID) -> QuerySet[Licence]:
    """The licences of a practitioner, expired ones too."""
    return Licence.objects.filter(practitioner_id=practitioner_id).order_by("expires_on", "id")


def licences_ending(first: date, last: date) -> QuerySet[Licence]:
    """The licences of those at work that end on one of these days and that no other of the same
    practitioner, credential and jurisdiction outlasts."""
    longer = Licence.objects.filter(
        practitioner_id=OuterRef("practitioner_id"),
        credential=OuterRef("credential"),
        jurisdiction=OuterRef("jurisdiction"),
        expires_on__gt=OuterRef("expires_on"),
    )
    ending = Licence.objects.filter(practitioner__is_active=True, expires_on__range=(first, last))
    return ending.exclude(Exists(longer)).order_by("expires_on", "id")


def licence_get(practitioner_id: UUID, licence_id: UUID) -> Licence:
    """One licence of a practitioner. Raises Rejected 404."""
    return existing(licences_of(practitioner_id).filter(pk=licence_id).first(), "licence")


def competences_of(practitioner_id: UUID) -> QuerySet[Competence]:
    """The techniques that a practitioner is signed off for."""
    return Competence.objects.filter(practitioner_id=practitioner_id).order_by("technique")


def supervisor_on(practitioner_id: UUID, facility_id: UUID, day: date) -> Supervision | None:
    """Who supervises a practitioner at a facility on one of its local days."""
    return (
        Supervision.objects.filter(supervised_id=practitioner_id, facility_id=facility_id, day=day)
        .select_related("supervisor")
        .first()
    )
