"""What a jurisdiction lets a credential do: rows of law with their source."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any
from uuid import UUID

from practice.core.localtime import local_day
from practice.core.reasons import Rejected, invalid
from practice.law.fixtures import starter_consent_ages, starter_limits
from practice.law.hooks import is_known_payer
from practice.law.models import ConsentAge, JurisdictionLimit
from practice.policy import change_log as history
from practice.policy import hooks
from practice.policy.selectors import practice_get
from practice.work.unit_of_work import UnitOfWork

_WHAT = "limit from this day on"
_AGE = "age of consent from this day on"


def _check_dates(begin: date, end: date | None) -> None:
    if end is not None and end < begin:
        raise invalid("effective_to", "It ends on or after the day it takes effect.")


def _check_payer(command: Mapping[str, Any]) -> None:
    payer_id = command.get("payer_id")
    if payer_id is not None and not is_known_payer(payer_id):
        raise invalid("payer_id", "There is no such payer.")


def _check_verified(uow: UnitOfWork, command: Mapping[str, Any]) -> None:
    """What a row lets people do rests on a check that was made, so none lies ahead."""
    verified_on = command.get("verified_on")
    if verified_on is not None and verified_on > local_day(uow.now, practice_get().zone):
        raise invalid("verified_on", "It was checked in the past or today: give that day.")


def limit_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> JurisdictionLimit:
    """A row of law, verified by the practice."""
    _check_dates(command["effective_from"], command.get("effective_to"))
    _check_payer(command)
    _check_verified(uow, command)
    row = history.create_row(uow, JurisdictionLimit(), command, _WHAT)
    hooks.notify_settings_changed(uow)
    return row


def limit_change(
    uow: UnitOfWork, *, limit_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> JurisdictionLimit:
    """Correct a row; future sessions are re-evaluated."""
    row = history.lock_row(JurisdictionLimit, limit_id, "limit", if_match=if_match)
    _check_dates(
        command.get("effective_from", row.effective_from),
        command.get("effective_to", row.effective_to),
    )
    _check_payer(command)
    _check_verified(uow, command)
    history.update_row(uow, row, command, _WHAT)
    hooks.notify_settings_changed(uow)
    return row


def consent_age_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> ConsentAge:
    """An age of medical consent; future sessions are evaluated again."""
    _check_dates(command["effective_from"], command.get("effective_to"))
    _check_verified(uow, command)
    row = history.create_row(uow, ConsentAge(), command, _AGE)
    hooks.notify_settings_changed(uow)
    return row


def consent_age_change(
    uow: UnitOfWork, *, age_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> ConsentAge:
    """Correct a row; future sessions are evaluated again."""
    row = history.lock_row(ConsentAge, age_id, "age of consent", if_match=if_match)
    _check_dates(
        command.get("effective_from", row.effective_from),
        command.get("effective_to", row.effective_to),
    )
    _check_verified(uow, command)
    history.update_row(uow, row, command, _AGE)
    hooks.notify_settings_changed(uow)
    return row


def starter_limits_accept(uow: UnitOfWork, *, code: str) -> list[JurisdictionLimit]:
    """Take over the starter rows for a jurisdiction (ISO 3166-2), unverified as they are.

    Raises Rejected 409 where the jurisdiction has rows already or none are offered.
    """
    if JurisdictionLimit.objects.filter(jurisdiction=code).exists():
        raise Rejected("limits_on_record", f"{code} has limits on record; correct those.")
    rows = starter_limits(code)
    if not rows:
        raise Rejected(
            "no_starter_limits",
            f"There are no starter rows for {code}. Ask the board and enter the limits yourself.",
        )
    added = [
        history.create_row(uow, JurisdictionLimit(), _typed(JurisdictionLimit, row), _WHAT)
        for row in rows
    ]
    hooks.notify_settings_changed(uow)
    return added


def starter_consent_ages_accept(uow: UnitOfWork, *, code: str) -> list[ConsentAge]:
    """Take over the starter ages of consent for a jurisdiction (ISO 3166-2), unverified.

    Raises Rejected 409 where the jurisdiction has a row already or none is offered.
    """
    if ConsentAge.objects.filter(jurisdiction=code).exists():
        raise Rejected("consent_age_on_record", f"{code} has an age of consent; correct that.")
    rows = starter_consent_ages(code)
    if not rows:
        raise Rejected(
            "no_starter_consent_age",
            f"There is no starter row for {code}: the setting consent_age_years counts there until"
            " you enter the age yourself.",
        )
    added = [history.create_row(uow, ConsentAge(), _typed(ConsentAge, row), _AGE) for row in rows]
    hooks.notify_settings_changed(uow)
    return added


def _typed(model: type[JurisdictionLimit | ConsentAge], row: Mapping[str, Any]) -> dict[str, Any]:
    """A row of the file with its dates as dates; nobody has verified it yet."""
    days = ("effective_from", "effective_to")
    columns = {f.name for f in model._meta.concrete_fields} - {"id", "revision", "verified_on"}
    return {
        name: date.fromisoformat(value) if name in days and value else value
        for name, value in row.items()
        if name in columns
    }
