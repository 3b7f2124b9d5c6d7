"""What several views of the sessions app show: reasons and permissions."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import msgspec

from practice.core.reasons import Reason, readable_by
from practice.core.terms import Mode, Role
from practice.http.fields import EnumField
from practice.http.problems import ReasonSerializer as ReasonForm


class ModeField(EnumField):
    """hands_on, self_directed or not_today."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Mode, **kwargs)


__all__ = ["ModeField", "ReasonForm", "serialize_stored_reasons", "shown_reasons"]


def shown_reasons(role: Role, reasons: Iterable[Reason]) -> list[dict[str, str]]:
    """Reasons as one role may read them."""
    return [
        {"code": one.code, "text": one.text, "source": one.source}
        for one in readable_by(role, reasons)
    ]


def serialize_stored_reasons(role: Role, stored: Sequence[Any]) -> list[dict[str, str]]:
    """The same for reasons as a row keeps them."""
    return shown_reasons(role, msgspec.convert(stored, list[Reason]))
