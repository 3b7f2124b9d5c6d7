"""Practitioners, their licences, signed-off techniques and supervision."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from practice.domain.reasons import invalid, not_found
from practice.eventlog.runner import Work
from practice.models import Competence, Facility, Licence, Practitioner, Supervision
from practice.services import history, hooks
from practice.services.places import check_hours


def _facilities(values: Mapping[str, Any], field: str = "facilities") -> None:
    """Raises Rejected 400 for a facility that does not exist."""
    asked = set(values.get(field, []))
    known = set(Facility.objects.filter(pk__in=asked).values_list("pk", flat=True))
    if missing := asked - known:
        raise invalid(field, f"There is no facility {min(map(str, missing))}.")


def _hours(values: Mapping[str, Any]) -> None:
    items = values.get("working_hours", [])
    check_hours(items, "starts", "ends", "working_hours")
    _facilities({"working_hours": [item["facility_id"] for item in items]}, "working_hours")


def practitioner_add(work: Work, values: Mapping[str, Any]) -> Practitioner:
    """A new practitioner."""
    _facilities(values)
    _hours(values)
    row = history.add(work, Practitioner(), values, "practitioner")
    hooks.announce(work)
    return row


def practitioner_change(
    work: Work, practitioner_id: UUID, values: Mapping[str, Any], if_match: int | None
) -> Practitioner:
    """Change a practitioner; her future sessions are judged again."""
    row = history.locked(Practitioner, practitioner_id, "practitioner", if_match=if_match)
    _facilities(values)
    _hours(values)
    history.change(work, row, values, "practitioner")
    hooks.announce(work)
    return row


def _known(practitioner_id: UUID) -> UUID:
    if not Practitioner.objects.filter(pk=practitioner_id).exists():
        raise not_found("practitioner")
    return practitioner_id


def _check_dates(begin: date, end: date) -> None:
    if begin > end:
        raise invalid("expires_on", "A licence expires on or after the day it is valid from.")


def licence_add(work: Work, practitioner_id: UUID, values: Mapping[str, Any]) -> Licence:
    """A licence of a practitioner in one jurisdiction."""
    row = Licence(practitioner_id=_known(practitioner_id))
    _check_dates(values["valid_from"], values["expires_on"])
    history.add(work, row, values, "licence with this number")
    hooks.announce(work)
    return row


def licence_change(
    work: Work,
    practitioner_id: UUID,
    licence_id: UUID,
    values: Mapping[str, Any],
    if_match: int | None,
) -> Licence:
    """Renew or correct a licence."""
    scope = {"practitioner_id": practitioner_id}
    row = history.locked(Licence, licence_id, "licence", if_match=if_match, scope=scope)
    _check_dates(values.get("valid_from", row.valid_from), values.get("expires_on", row.expires_on))
    history.change(work, row, values, "licence with this number")
    hooks.announce(work)
    return row


def competence_add(work: Work, practitioner_id: UUID, values: Mapping[str, Any]) -> Competence:
    """Sign a practitioner off for a technique that she practised on colleagues first."""
    row = Competence(practitioner_id=_known(practitioner_id))
    history.add(work, row, values, "sign-off for this technique")
    hooks.announce(work)
    return row


def competence_remove(work: Work, practitioner_id: UUID, competence_id: UUID) -> None:
    """Take a sign-off back."""
    scope = {"practitioner_id": practitioner_id}
    history.remove(work, history.locked(Competence, competence_id, "sign-off", scope=scope))
    hooks.announce(work)


def supervision_add(work: Work, values: Mapping[str, Any]) -> Supervision:
    """Name who supervises whom at a facility on a day."""
    if values["supervisor_id"] == values["supervised_id"]:
        raise invalid("supervisor_id", "Nobody supervises herself.")
    for field in ("supervisor_id", "supervised_id"):
        if not Practitioner.objects.filter(pk=values[field]).exists():
            raise invalid(field, "There is no such practitioner.")
    _facilities({"facility_id": [values["facility_id"]]}, "facility_id")
    row = history.add(work, Supervision(), values, "supervision on this day")
    hooks.announce(work)
    return row


def supervision_remove(work: Work, supervision_id: UUID) -> None:
    """Take a supervision back."""
    history.remove(work, history.locked(Supervision, supervision_id, "supervision"))
    hooks.announce(work)
