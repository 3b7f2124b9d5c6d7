"""Provider preference: whom the client wants, and the exceptions they agreed to."""

from __future__ import annotations

from collections.abc import Iterator
from uuid import UUID

from clients.permissions.domain.findings import PermissionFinding
from clients.permissions.domain.inputs import PermissionFacts
from clients.permissions.domain.settings import PermissionSettings
from clients.preference.domain.state import PreferenceException, ProviderPreference
from clients.preference.domain.terms import PreferenceScope
from practice.core.reasons import Reason
from practice.core.terms import Mode

SOURCE = "the client's stated preference"


def is_met(preference: ProviderPreference, facts: PermissionFacts) -> bool:
    """Whether the practitioner is one of those preferred; both parts count where both are set."""
    person = facts.practitioner
    if preference.practitioner_ids and person.practitioner_id not in preference.practitioner_ids:
        return False
    return preference.gender is None or preference.gender is person.gender


def applicable_exception(facts: PermissionFacts) -> PreferenceException | None:
    """The exception for this practitioner that counts for this session, if there is one."""
    for one in facts.client.exceptions:
        if one.practitioner_id != facts.practitioner.practitioner_id:
            continue
        this_session = one.session_id is not None and one.session_id == facts.session_id
        still = one.until is not None and facts.day <= one.until
        if this_session or still or one.on == facts.day:
            return one
    return None


def used_exception_id(facts: PermissionFacts) -> UUID | None:
    """The id of the exception without which the session would go against the preference."""
    preference = facts.client.preference
    if preference is None or is_met(preference, facts):
        return None
    found = applicable_exception(facts)
    return found.exception_id if found else None


def for_session(
    facts: PermissionFacts, settings: PermissionSettings
) -> Iterator[PermissionFinding]:
    """Against a preference for all work nothing; for hands-on work only, self-directed."""
    preference = facts.client.preference
    if preference is None or is_met(preference, facts) or applicable_exception(facts):
        return
    if preference.scope is PreferenceScope.ALL_WORK:
        text = (
            "The client prefers another provider for all work and agreed to no exception"
            " for this one."
        )
        reason = Reason(code="preference.all_work", text=text, source=SOURCE)
        yield PermissionFinding(Mode.NOT_TODAY, reason, refuses=True)
    else:
        text = "The client prefers another provider for hands-on work and agreed to no exception."
        reason = Reason(code="preference.hands_on", text=text, source=SOURCE)
        yield PermissionFinding(Mode.SELF_DIRECTED, reason)
