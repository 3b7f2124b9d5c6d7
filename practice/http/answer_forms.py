"""Long answers that have a short form: which of the two is asked for."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from drf_spectacular.utils import PolymorphicProxySerializer

from practice.http.fields import EnumField


class AnswerForm(StrEnum):
    """SHORT: what is alike stands together; LONG: everything on its own, with its sources."""

    SHORT = "short"
    LONG = "long"


class AnswerFormField(EnumField):
    """The form asked for; short where it is left out."""

    def __init__(self, **kwargs: Any) -> None:
        help_text = (
            "`short` (the default, at most about 5 KB): what is alike stands together and each"
            " reason is said once; `long`: everything on its own, with the sources."
        )
        super().__init__(AnswerForm, required=False, help_text=help_text, **kwargs)


def either_form(name: str, short: Any, long: Any) -> PolymorphicProxySerializer:
    """The answer of an endpoint that has two forms, for its description."""
    return PolymorphicProxySerializer(
        component_name=name, serializers=[short, long], resource_type_field_name=None
    )
