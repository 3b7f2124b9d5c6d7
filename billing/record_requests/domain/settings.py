"""Who may make a copy of a record for the client, as the practice says."""

from __future__ import annotations

from typing import Literal

import msgspec

from practice.core.decisions import Actor
from practice.core.reasons import Rejected


class RecordRequestSettings(msgspec.Struct, frozen=True, kw_only=True):
    """``roles``: those who make it."""

    roles: tuple[Literal["owner", "front_desk"], ...]


def check_may_make(actor: Actor, settings: RecordRequestSettings) -> None:
    """Raises Rejected 403 for a role that the practice does not let make copies of records."""
    if actor.role.value not in settings.roles:
        raise Rejected(
            "not_by_your_role",
            "The practice does not let your role make copies of records; ask the owner, who may "
            "change that (setting record_requests.roles).",
            status=403,
        )
