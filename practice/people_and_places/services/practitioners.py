"""Practitioners, their licences and supervision."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from uuid import UUID

from practice.core.localtime import zone_named
from practice.core.reasons import Reason, Rejected, invalid, not_found
from practice.core.terms import Credential
from practice.people_and_places.hooks import tell_of_licence, uses_of_supervision
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import (
    Licence,
    Practitioner,
    Supervision,
)
from practice.people_and_places.services.facilities import check_hours
from practice.people_and_places.supervision import SupervisionSettings, supervised_by
from practice.people_and_places.weekly_hours import PlacedHours, two_places_at_once
from practice.policy import change_log as history
from practice.policy import hooks
from practice.policy.models import PRACTICE_ID, Practice
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import UnitOfWork


def _facilities(values: Mapping[str, Any], field: str = "facilities") -> None:
    """Raises Rejected 400 for a facility that does not exist."""
    asked = set(values.get(field, []))
    _all_known(asked, Facility.objects.filter(pk__in=asked).values_list("pk", flat=True), field)


def _all_known(asked: Iterable[UUID], known: Iterable[UUID], field: str) -> None:
    if missing := set(asked) - set(known):
        raise invalid(field, f"There is no facility {min(map(str, missing))}.")


def _hours(values: Mapping[str, Any], today: date) -> None:
    """Raises Rejected 400 for hours that cannot be, and for those in two places at once: weekly
    hours say where somebody is, and open times would offer both. Who now and then works elsewhere
    has extra hours there."""
    items = values.get("working_hours", [])
    places = Facility.objects.in_bulk({item["facility_id"] for item in items})
    _all_known((item["facility_id"] for item in items), places, "working_hours")
    for place in places:
        here = [item for item in items if item["facility_id"] == place]
        check_hours(here, "starts", "ends", "working_hours")
    placed = [
        PlacedHours(
            facility=(place := places[item["facility_id"]]).name,
            zone=place.zone,
            weekday=item["weekday"],
            starts=item["starts"],
            ends=item["ends"],
        )
        for item in items
    ]
    if (found := two_places_at_once(placed, today)) is not None:
        raise invalid(
            "working_hours",
            f"They would be in two places at once: {found.one} and {found.other}, each by its own"
            f" clock, e.g. on {found.day}.",
        )


def _check_npi_unused(npi: str, practitioner_id: UUID | None) -> None:
    """Raises Rejected 409 naming the other whose NPI it is: it is one person's alone
    (45 CFR 162.406)."""
    others = [one for one in Practitioner.objects.filter(npi=npi) if one.pk != practitioner_id]
    other = others[0] if npi and others else None
    if other is not None:
        raise Rejected(
            "npi_taken",
            f"The NPI {npi} is on record for {other.name}. One of the two is wrong: an NPI is one"
            " person's alone.",
            extra={"practitioner_id": str(other.pk)},
        )


def same_name_warnings(row: Practitioner) -> list[Reason]:
    """A warning where another of this name and credential is on record."""
    others = Practitioner.objects.filter(name__iexact=row.name, credential=row.credential)
    if not others.exclude(pk=row.pk).exists():
        return []
    text = f"Another {_words(row.credential)} named {row.name} is on record: is it the same person?"
    return [Reason(code="same_name", text=text, source="practice policy")]


def _words(credential: str) -> str:
    return str(credential).replace("_", " ")


def practitioner_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Practitioner:
    """Add a practitioner. Raises Rejected 409 where the NPI is in use already.

    Hours and facilities that cannot be are 400; future sessions are re-evaluated.
    """
    _facilities(command)
    _hours(command, uow.now.date())
    _check_npi_unused(command.get("npi", ""), None)
    row = history.create_row(uow, Practitioner(), command, "practitioner")
    hooks.notify_settings_changed(uow)
    return row


@dataclass(frozen=True)
class ChangedPractitioner:
    """A practitioner, and the facilities where they do not work any more by this."""

    row: Practitioner
    left: tuple[Facility, ...] = ()


def practitioner_change(
    uow: UnitOfWork,
    *,
    practitioner_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> ChangedPractitioner:
    """Change a practitioner; their future sessions are re-evaluated."""
    row = history.lock_row(Practitioner, practitioner_id, "practitioner", if_match=if_match)
    _facilities(command)
    _hours(command, uow.now.date())
    _check_npi_unused(command.get("npi", ""), row.pk)
    before = set(row.facilities.all()) if "facilities" in command else set()
    history.update_row(uow, row, command, "practitioner")
    hooks.notify_settings_changed(uow)
    return ChangedPractitioner(row, _left(row, before))


def _left(row: Practitioner, before: set[Facility]) -> tuple[Facility, ...]:
    gone = before - set(row.facilities.all()) if before else before
    return tuple(sorted(gone, key=lambda one: (one.name, one.pk)))


def _known(practitioner_id: UUID) -> UUID:
    if not Practitioner.objects.filter(pk=practitioner_id).exists():
        raise not_found("practitioner")
    return practitioner_id


def _check_dates(begin: date, end: date) -> None:
    if begin > end:
        raise invalid("expires_on", "A licence expires on or after the day it is valid from.")


def licence_add(uow: UnitOfWork, *, practitioner_id: UUID, command: Mapping[str, Any]) -> Licence:
    """A licence of a practitioner in one jurisdiction."""
    row = Licence(practitioner_id=_known(practitioner_id))
    _check_dates(command["valid_from"], command["expires_on"])
    history.create_row(uow, row, command, "licence with this number")
    tell_of_licence(row)
    hooks.notify_settings_changed(uow)
    return row


def licence_change(
    uow: UnitOfWork,
    *,
    practitioner_id: UUID,
    licence_id: UUID,
    command: Mapping[str, Any],
    if_match: int | None = None,
) -> Licence:
    """Renew or correct a licence."""
    scope = {"practitioner_id": practitioner_id}
    row = history.lock_row(Licence, licence_id, "licence", if_match=if_match, scope=scope)
    _check_dates(
        command.get("valid_from", row.valid_from), command.get("expires_on", row.expires_on)
    )
    history.update_row(uow, row, command, "licence with this number")
    tell_of_licence(row)
    hooks.notify_settings_changed(uow)
    return row


def licence_warnings(row: Licence, today: date) -> list[Reason]:
    """A licence that does not let its holder work under their credential today."""
    found = []
    credential = row.practitioner.credential
    if row.credential != credential:
        text = (
            f"This licence is for a {_words(row.credential)}; {row.practitioner.name} works as a"
            f" {_words(credential)}, so it does not count for their sessions."
        )
        found.append(Reason(code="other_credential", text=text, source="practice policy"))
    if row.valid_from > today:
        text = f"It holds from {row.valid_from} on, not before."
        found.append(Reason(code="not_yet_valid", text=text, source="licence on record"))
    elif row.expires_on < today:
        text = f"It expired on {row.expires_on}: an expired licence is none."
        found.append(Reason(code="expired", text=text, source="licence on record"))
    return found


def latest_today(practitioner_id: UUID, now: datetime) -> date:
    """The latest day that it is now at the places where a practitioner works."""
    places = Facility.objects.filter(practitioners=practitioner_id).values_list("zone", flat=True)
    zones = {*places, *Practice.objects.values_list("zone", flat=True)}
    return max(now.astimezone(zone_named(zone)).date() for zone in zones)


def supervision_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Supervision:
    """Name who supervises whom at a facility on a day.

    Raises Rejected 409 for a credential that may not supervise the other, or a circle.
    """
    # One at a time: two rows written at once could close a circle that neither sees.
    history.lock_row(Practice, PRACTICE_ID, "practice")
    if command["supervisor_id"] == command["supervised_id"]:
        raise invalid("supervisor_id", "Nobody supervises their own work.")
    supervisor, supervised = (_named(command, f"{one}_id") for one in ("supervisor", "supervised"))
    _facilities({"facility_id": [command["facility_id"]]}, "facility_id")
    _check_entitled(supervisor, supervised)
    if supervisor.pk in supervised_by(supervised.pk, command["day"]):
        raise Rejected(
            "supervision_in_a_circle",
            f"{supervisor.name} works that day under {supervised.name}, directly or through"
            " others: name a supervisor who does not.",
        )
    row = history.create_row(uow, Supervision(), command, "supervision on this day")
    hooks.notify_settings_changed(uow)
    return row


def _named(command: Mapping[str, Any], field: str) -> Practitioner:
    found = Practitioner.objects.filter(pk=command[field]).first()
    if found is None:
        raise invalid(field, "There is no such practitioner.")
    return found


def _check_entitled(supervisor: Practitioner, supervised: Practitioner) -> None:
    table = settings_group("supervision", SupervisionSettings)[0]
    if not table.entitled(Credential(supervisor.credential), Credential(supervised.credential)):
        raise Rejected(
            "credential_does_not_supervise",
            f"{_words(supervisor.credential).capitalize()}s do not supervise"
            f" {_words(supervised.credential)}s here: see the setting supervision.may_supervise.",
        )


def supervision_remove(uow: UnitOfWork, *, supervision_id: UUID) -> None:
    """Take a supervision back; 409 where something rests on it, naming what."""
    row = history.lock_row(Supervision, supervision_id, "supervision")
    _check_unused([row])
    history.delete_row(uow, row)
    hooks.notify_settings_changed(uow)


def supervision_end(uow: UnitOfWork, *, command: Mapping[str, Any]) -> list[date]:
    """End a practitioner's supervision at a facility from a local day on; earlier days stay.

    ``command``: ``supervised_id``, ``facility_id``, ``from_day``. Returns the days that are
    not supervised any more. Raises Rejected: 404 where none is named from that day on, 409
    where something rests on one of those days, naming what.
    """
    rows = Supervision.objects.filter(
        supervised_id=command["supervised_id"],
        facility_id=command["facility_id"],
        day__gte=command["from_day"],
    ).order_by("day")
    ended = [history.lock_row(Supervision, row.pk, "supervision") for row in rows]
    if not ended:
        raise not_found("supervision from that day on")
    _check_unused(ended)
    days = [row.day for row in ended]
    for row in ended:
        history.delete_row(uow, row)
    hooks.notify_settings_changed(uow)
    return days


def _check_unused(rows: list[Supervision]) -> None:
    reasons = [reason for row in rows for reason in uses_of_supervision(row.pk)]
    if reasons:
        raise Rejected(
            "supervision_in_use",
            "Something rests on this supervision, so it stays. It can be ended from a later day.",
            reasons=reasons,
        )
