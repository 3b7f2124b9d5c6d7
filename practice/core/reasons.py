"""Why something may not be done: reasons with a source and an audience."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from enum import StrEnum
from typing import Any, TypeVar

import msgspec

from practice.core.terms import Role

T = TypeVar("T")


class Audience(StrEnum):
    """Who may read a reason in full.

    ``EVERYONE``: consent, preference, licence, law, calendar, payer.
    ``CLINICAL``: health reasons; the front desk and billing see one general code,
    since the code itself would tell.
    """

    EVERYONE = "everyone"
    CLINICAL = "clinical"


class Reason(msgspec.Struct, frozen=True, kw_only=True):
    """One reason: a stable code, a sentence for people, and where it comes from."""

    code: str
    text: str
    source: str
    audience: Audience = Audience.EVERYONE


GENERAL_HEALTH_REASON = Reason(
    code="health",
    text="A health reason stands against it; ask the practitioner.",
    source="practice policy",
)


GENERAL_CONSENT_REASON = Reason(
    code="consent",
    text="The touch consent stands against it; ask the practitioner.",
    source="practice policy",
)


UNSUITABLE_TIME = Reason(
    code="unsuitable_time",
    text="It does not suit the client.",
    source="the client's record",
)


def readable_by(role: Role, reasons: Iterable[Reason]) -> list[Reason]:
    """The reasons as one role may read them: health reasons become one general reason, and to
    billing so do those of consent (whether it stands, not what it says, ruling 62) and of times
    that do not suit, which may speak of treatment."""
    if role in (Role.OWNER, Role.PRACTITIONER):
        return list(reasons)
    shown: list[Reason] = []
    for reason in reasons:
        visible = reason if reason.audience is Audience.EVERYONE else GENERAL_HEALTH_REASON
        if role is Role.BILLING and visible.code.startswith("consent."):
            visible = GENERAL_CONSENT_REASON
        if role is Role.BILLING and visible.code == UNSUITABLE_TIME.code:
            visible = UNSUITABLE_TIME
        if visible not in shown:
            shown.append(visible)
    return shown


class Rejected(Exception):
    """A command that the rules refuse.

    ``status`` is the HTTP status it becomes: 409 for a rule, 400 with ``fields``
    for input that cannot be, 404 for something that is not there, 412 for a stale
    version. ``extra`` holds further members of the problem document.
    """

    def __init__(
        self,
        code: str,
        detail: str,
        *,
        status: int = 409,
        reasons: Sequence[Reason] = (),
        fields: Mapping[str, str] | None = None,
        extra: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(detail)
        self.code = code
        self.detail = detail
        self.status = status
        self.reasons = tuple(reasons)
        self.fields = dict(fields or {})
        self.extra = dict(extra or {})


def invalid(field: str, detail: str, code: str = "invalid") -> Rejected:
    """Input that cannot be: 400 with the field and what would be right."""
    return Rejected(code, detail, status=400, fields={field: detail})


def not_found(what: str) -> Rejected:
    """Nothing with that id, or nothing that the caller may know of: 404."""
    return Rejected("not_found", f"There is no such {what}.", status=404)


def existing(found: T | None, what: str) -> T:
    """What was looked up; Rejected 404 where there is none."""
    if found is None:
        raise not_found(what)
    return found


CHANGED = "It has changed since you read it: the version is {version} now. Read it again."


def check_version(current: int, read: int | None, text: str = CHANGED) -> None:
    """Rejected 412 where a caller has read (``If-Match``) another version than the current one.

    None: the caller did not say. ``text`` may name the version as ``{version}``.
    """
    if read is not None and read != current:
        raise Rejected(
            "stale_version",
            text.format(version=current),
            status=412,
            extra={"current_version": current},
        )
