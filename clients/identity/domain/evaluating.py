"""Who may evaluate: say what free words mean, clear a condition, lift a red flag."""

from __future__ import annotations

from collections.abc import Collection

import msgspec

from practice.core.reasons import Rejected
from practice.core.terms import Credential


class EvaluationSettings(msgspec.Struct, frozen=True, kw_only=True):
    """What evaluating takes of the practice's settings for permissions."""

    evaluating_credentials: tuple[Credential, ...]


def check_may_evaluate(credential: str | None, evaluating: Collection[Credential]) -> None:
    """Raises Rejected 403 for a credential that the practice does not let evaluate."""
    if credential in evaluating:
        return
    who = " or ".join(one.value.replace("_", " ") for one in evaluating)
    raise Rejected(
        "may_not_evaluate",
        f"This needs a practitioner who may evaluate: {who or 'nobody here'}.",
        status=403,
    )
