"""Techniques that practitioners are signed off for: by somebody else than themself."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from practice.core.names import same_name
from practice.core.reasons import Reason, Rejected, existing, invalid
from practice.people_and_places.models.practitioners import Competence, Practitioner
from practice.people_and_places.models.staff import Staff
from practice.people_and_places.services.practitioners import latest_today
from practice.policy import change_log as history
from practice.policy import hooks
from practice.work.unit_of_work import UnitOfWork

SOURCE = "practice policy: a technique is signed off by somebody else"


def competence_add(
    uow: UnitOfWork, *, practitioner_id: UUID, command: Mapping[str, Any]
) -> Competence:
    """Sign a practitioner off for a technique that they practised on colleagues first.

    Raises Rejected 400 where they would sign off themself: see ``_check_own_sign_off``.
    """
    person = existing(Practitioner.objects.filter(pk=practitioner_id).first(), "practitioner")
    if command["signed_off_on"] > latest_today(practitioner_id, uow.now):
        raise invalid("signed_off_on", "A sign-off lies in the past or is of today.")
    _check_own_sign_off(person, command["signed_off_by"], command.get("reason", ""))
    before = person.competences.filter(technique=command["technique"]).first()
    if before is not None:
        raise Rejected(
            "already_there",
            f"{command['technique']} is signed off already, since {before.signed_off_on}. To"
            f" correct it, take it back (DELETE .../competences/{before.pk}) and add it anew.",
        )
    row = Competence(practitioner=person)
    history.create_row(uow, row, command, "sign-off for this technique")
    hooks.notify_settings_changed(uow)
    return row


def competence_remove(uow: UnitOfWork, *, practitioner_id: UUID, competence_id: UUID) -> None:
    """Take a sign-off back."""
    scope = {"practitioner_id": practitioner_id}
    history.delete_row(uow, history.lock_row(Competence, competence_id, "sign-off", scope=scope))
    hooks.notify_settings_changed(uow)


def own_sign_off_warnings(row: Competence) -> list[Reason]:
    """A sign-off that nobody else stands for."""
    if not _is_of(row.practitioner, row.signed_off_by):
        return []
    text = (
        f"{row.practitioner.name} signed themself off in {row.technique.replace('_', ' ')}; nobody"
        " else of the practice could. Have it signed off by somebody else as soon as one can:"
        f" take this one back (DELETE .../competences/{row.pk}) and add it anew."
    )
    return [Reason(code="own_sign_off", text=text, source=SOURCE)]


def _check_own_sign_off(person: Practitioner, signed_off_by: str, reason: str) -> None:
    """Raises Rejected 400 for a practitioner who signs off themself: another of the practice
    does. Where there is no other, it stands with its ``reason``, and a warning."""
    if not _is_of(person, signed_off_by):
        return
    others = Practitioner.objects.filter(is_active=True).exclude(pk=person.pk)
    if others.exists():
        raise invalid(
            "signed_off_by",
            "Nobody signs off their own technique: name who of the practice saw it and is signed"
            " off in it, or the teacher who did.",
        )
    if not reason.strip():
        raise invalid(
            "reason",
            "Nobody signs off their own technique, and the practice has no other practitioner: say"
            " what stands for the sign-off, e.g. a course with its date.",
        )


def _is_of(person: Practitioner, name: str) -> bool:
    """Whether a name is that of the practitioner, or of their account."""
    accounts = Staff.objects.filter(practitioner=person).values_list("name", flat=True)
    return any(same_name(name, own) for own in (person.name, *accounts))
