"""Who may evaluate: review words, clear a condition, lift a red flag (ruling 49)."""

from __future__ import annotations

from clients.permissions.domain.settings import PermissionSettings
from practice.core.reasons import Rejected
from practice.core.terms import Credential


def check_may_evaluate(credential: Credential | None, settings: PermissionSettings) -> None:
    """Rejected 403 for anyone whose credential the practice does not let evaluate."""
    if credential in settings.evaluating_credentials:
        return
    who = " or ".join(one.value.replace("_", " ") for one in settings.evaluating_credentials)
    raise Rejected(
        "may_not_evaluate",
        f"This needs a practitioner who may evaluate: {who or 'nobody here'}.",
        status=403,
    )
