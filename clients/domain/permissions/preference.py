"""Provider preference: whom the client wants, and her own exceptions."""

from __future__ import annotations

from collections.abc import Iterator

from clients.domain.permissions.findings import Finding
from clients.domain.permissions.inputs import Facts, ProviderPreference
from clients.domain.permissions.settings import PermissionSettings
from clients.domain.terms import PreferenceScope
from practice.domain.reasons import Reason
from practice.domain.terms import Mode

SOURCE = "the client's stated preference"


def met(preference: ProviderPreference, facts: Facts) -> bool:
    """Whether the practitioner is one of those she prefers; both parts count where both are set."""
    person = facts.practitioner
    if preference.practitioners and person.practitioner_id not in preference.practitioners:
        return False
    return preference.gender is None or preference.gender is person.gender


def excepted(facts: Facts) -> bool:
    """Whether she agreed to this practitioner for this session or up to that day."""
    for exception in facts.client.exceptions:
        if exception.practitioner_id != facts.practitioner.practitioner_id:
            continue
        if exception.until is not None and exception.until >= facts.day:
            return True
        if exception.session_id is not None and exception.session_id == facts.session_id:
            return True
    return False


def for_session(facts: Facts, settings: PermissionSettings) -> Iterator[Finding]:
    """Against a preference for all work nothing; for hands-on work only, self-directed."""
    preference = facts.client.preference
    if preference is None or met(preference, facts) or excepted(facts):
        return
    if preference.scope is PreferenceScope.ALL_WORK:
        text = "She prefers another provider for all work and agreed to no exception for this one."
        reason = Reason(code="preference.all_work", text=text, source=SOURCE)
        yield Finding(Mode.NOT_TODAY, reason, refuses=True)
    else:
        text = "She prefers another provider for hands-on work and agreed to no exception."
        reason = Reason(code="preference.hands_on", text=text, source=SOURCE)
        yield Finding(Mode.SELF_DIRECTED, reason)
