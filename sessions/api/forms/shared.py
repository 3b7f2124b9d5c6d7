"""What several resources of the sessions floor show: reasons and verdicts."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

import msgspec
from rest_framework import serializers

from practice.api.fields import EnumField
from practice.domain.reasons import Reason, readable_by
from practice.domain.terms import Mode, Role


class ReasonForm(serializers.Serializer[Any]):
    """A reason with the rule it comes from."""

    code = serializers.CharField(help_text="Stable code, e.g. `consent.withdrawn`.")
    text = serializers.CharField(help_text="The reason as a sentence.")
    source = serializers.CharField(help_text="Where the rule comes from.")


class ModeField(EnumField):
    """hands_on, self_directed or not_today."""

    def __init__(self, **kwargs: Any) -> None:
        super().__init__(Mode, **kwargs)


def shown_reasons(role: Role, reasons: Iterable[Reason]) -> list[dict[str, str]]:
    """Reasons as one role may read them."""
    return [
        {"code": one.code, "text": one.text, "source": one.source}
        for one in readable_by(role, reasons)
    ]


def kept_reasons(role: Role, stored: Sequence[Any]) -> list[dict[str, str]]:
    """The same for reasons as a row keeps them."""
    return shown_reasons(role, msgspec.convert(stored, list[Reason]))
