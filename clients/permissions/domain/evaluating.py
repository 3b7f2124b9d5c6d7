"""Who may evaluate: review words, clear a condition, lift a red flag (ruling 49)."""

from __future__ import annotations

from clients.identity.domain import evaluating
from clients.permissions.domain.settings import PermissionSettings
from practice.core.terms import Credential


def check_may_evaluate(credential: Credential | None, settings: PermissionSettings) -> None:
    """Rejected 403 for anyone whose credential the practice does not let evaluate."""
    evaluating.check_may_evaluate(credential, settings.evaluating_credentials)
