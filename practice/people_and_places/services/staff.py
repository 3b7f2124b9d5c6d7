"""Staff accounts: new hires, leavers, passwords, tokens."""

from __future__ import annotations

import secrets
from collections.abc import Mapping
from datetime import datetime, timedelta
from functools import lru_cache
from hashlib import sha256
from typing import Any
from uuid import UUID

from django.contrib.auth.hashers import check_password, make_password
from django.contrib.auth.password_validation import validate_password
from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Q

from practice.clock import clock
from practice.core.reasons import Rejected, existing, invalid
from practice.core.terms import Role
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.people_and_places.models.staff import AccessToken, Staff
from practice.people_and_places.services.practitioners import practitioner_change
from practice.people_and_places.throttle import AccessSettings, admit, succeeded
from practice.people_and_places.token_seals import seal_token
from practice.policy import change_log as history
from practice.policy.row_seals import seal_rows
from practice.policy.selectors import settings_group
from practice.work.unit_of_work import UnitOfWork


@lru_cache(maxsize=1)
def _nobody() -> str:
    """Checked where there is no such account, so that both answers take as long."""
    return make_password(secrets.token_urlsafe(16))


def account_named(username: str) -> UUID | None:
    """The id of the account with a username; what else was typed is not kept."""
    staff = Staff.objects.filter(username=username.lower()).first()
    return None if staff is None else staff.pk


def sign_in(
    username: str, password: str, label: str, *, address: str = ""
) -> tuple[str, AccessToken]:
    """A new token and its row; the token is shown here and never again.

    Raises Rejected 401 for a wrong name or password, and for an account that has left; 429 for a
    try in a pause (see ``throttle``), whose password is not looked at.
    """
    access = settings_group("access", AccessSettings)[0]
    admission = admit(username.lower(), address, access, clock.now())
    staff = Staff.objects.filter(username=username.lower()).first()
    known = _is_password(password, staff)
    if staff is None or not known or not staff.is_active:
        raise Rejected("wrong_credentials", "Username or password is wrong.", status=401)
    hours = access.token_hours
    token, now = secrets.token_urlsafe(32), clock.now()
    succeeded(admission, now)
    row = AccessToken(
        digest=sha256(token.encode()).hexdigest(),
        staff=staff,
        label=label,
        created_at=now,
        expires_at=now + timedelta(hours=hours),
    )
    seal_token(row).save(force_insert=True)
    return token, row


def _is_password(password: str, staff: Staff | None) -> bool:
    """Whether it is theirs. A hash of an earlier kind is made anew while the password is known."""
    if staff is None:
        check_password(password, _nobody())
        return False
    return check_password(password, staff.password, setter=lambda raw: _rehash(staff, raw))


def _rehash(staff: Staff, password: str) -> None:
    with transaction.atomic():
        same = Staff.objects.filter(pk=staff.pk, password=staff.password)
        if same.update(password=make_password(password)):
            seal_rows([staff])


def revoke_tokens(staff_id: UUID, now: datetime, *, keep: str = "") -> int:
    """Revoke every live token of an account at once, but for the one to keep."""
    live = list(AccessToken.objects.filter(staff_id=staff_id, revoked_at=None).exclude(digest=keep))
    for row in live:
        row.revoked_at = now
        seal_token(row)
    return AccessToken.objects.bulk_update(live, ["revoked_at", "seal"])


def token_revoke(uow: UnitOfWork, *, token_id: UUID) -> None:
    """Revoke one token: one's own, or as owner anyone's. 404 for others'."""
    mine = Q() if uow.actor.role is Role.OWNER else Q(staff_id=uow.actor.id)
    row = existing(AccessToken.objects.filter(mine, id=token_id).first(), "token")
    if row.revoked_at is None:
        row.revoked_at = clock.now()
        seal_token(row).save(update_fields=["revoked_at", "seal"])


def _checked_password(password: str, staff: Staff) -> str:
    """The hash of a new password. Raises Rejected 400 with what is wrong with it."""
    try:
        validate_password(password, staff)
    except ValidationError as error:
        raise invalid("password", " ".join(error.messages), "weak_password") from None
    return make_password(password)


def password_change(
    uow: UnitOfWork, *, command: Mapping[str, Any], kept_token: AccessToken | None = None
) -> Staff:
    """Change one's own password; every token of the account but ``kept_token`` ends."""
    staff = history.lock_row(Staff, uow.actor.id, "account")
    if not check_password(command["current_password"], staff.password):
        raise invalid("current_password", "This is not the present password.")
    password = _checked_password(command["new_password"], staff)
    history.update_row(uow, staff, {"password": password}, "account")
    revoke_tokens(staff.pk, clock.now(), keep=kept_token.digest if kept_token else "")
    return staff


def _check_links(values: Mapping[str, Any]) -> None:
    asked = set(values.get("facilities", []))
    if len(asked) != Facility.objects.filter(pk__in=asked).count():
        raise invalid("facilities", "One of these facilities does not exist.")
    practitioner = values.get("practitioner_id")
    if practitioner and not Practitioner.objects.filter(pk=practitioner).exists():
        raise invalid("practitioner_id", "There is no such practitioner.")


def _check_role(role: str, practitioner_id: UUID | None) -> None:
    if role == Role.PRACTITIONER and practitioner_id is None:
        raise invalid(
            "practitioner_id", "A practitioner's account names the practitioner it belongs to."
        )


def staff_add(uow: UnitOfWork, *, command: Mapping[str, Any]) -> Staff:
    """A new hire's account."""
    _check_links(command)
    _check_role(command["role"], command.get("practitioner_id"))
    given = dict(command)
    given["username"] = given["username"].lower()
    plain = {k: v for k, v in given.items() if k not in ("password", "facilities")}
    given["password"] = _checked_password(given["password"], Staff(**plain))
    return history.create_row(uow, Staff(), given, "account with this username or practitioner")


def staff_change(
    uow: UnitOfWork, *, staff_id: UUID, command: Mapping[str, Any], if_match: int | None = None
) -> Staff:
    """Change an account. A leaver (``is_active`` false) and a reset password end all tokens.

    A leaver's practitioner leaves with them, unless ``practitioner_stays_active``.
    """
    row = history.lock_row(Staff, staff_id, "account", if_match=if_match)
    _check_links(command)
    role = command.get("role", row.role)
    _check_role(role, command.get("practitioner_id", row.practitioner_id))
    stays_owner = role == Role.OWNER and command.get("is_active", row.is_active)
    if row.role == Role.OWNER and row.is_active and not stays_owner:
        _check_another_owner(row)
    given = dict(command)
    stays = given.pop("practitioner_stays_active", False)
    if "username" in given:
        given["username"] = given["username"].lower()
    if "password" in given:
        # With the name and username that the account will have.
        told = {k: v for k, v in given.items() if k in ("username", "name")}
        meant = Staff(**{"username": row.username, "name": row.name, **told})
        given["password"] = _checked_password(given["password"], meant)
    history.update_row(uow, row, given, "account with this username or practitioner")
    if not row.is_active or "password" in command:
        revoke_tokens(row.pk, clock.now())
    if command.get("is_active") is False and row.practitioner_id is not None and not stays:
        practitioner_change(uow, practitioner_id=row.practitioner_id, command={"is_active": False})
        row.refresh_from_db()
    return row


def _check_another_owner(row: Staff) -> None:
    """Raises Rejected 409 where the practice would be left without an owner."""
    owners = Staff.objects.select_for_update().filter(role=Role.OWNER, is_active=True)
    if not [one for one in owners if one.pk != row.pk]:
        raise Rejected(
            "last_owner", "The practice keeps at least one owner: name another one first."
        )
