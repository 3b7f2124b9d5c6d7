"""Names of the choice sets in the OpenAPI description: each after the enum it comes from.

Left to itself, the generator names a set after the fields that use it, and warns where two
fields of one name have different sets. Every EnumField tells its enum here instead.
"""

from __future__ import annotations

from enum import StrEnum
from typing import Any

from django.db.models import TextChoices
from drf_spectacular.plumbing import _load_enum_name_overrides
from drf_spectacular.settings import spectacular_settings

Choices = list[tuple[str, str]]
Kind = type[StrEnum] | type[TextChoices]
_kinds: set[Kind] = set()


def choices_of(kind: Kind) -> Choices:
    """Words and labels of an enum; also makes its name known to the description."""
    _kinds.add(kind)
    return [(str(member.value), str(member.value).replace("_", " ")) for member in kind]


def enum_names() -> dict[str, Choices]:
    """Name of each choice set in use: the enum's, with its app before it where two share one."""
    names: dict[str, Choices] = {}
    named: set[tuple[tuple[str, str], ...]] = set()
    for kind in sorted(_kinds, key=lambda kind: (kind.__module__, kind.__name__)):
        choices = choices_of(kind)
        if tuple(choices) in named:
            continue  # Two enums of the same words are one set in the description.
        named.add(tuple(choices))
        name = f"{kind.__qualname__.replace('.', '')}Enum"  # A model's own bears the model's name.
        if name in names:
            name = f"{kind.__module__.split('.')[0].capitalize()}{name}"
        names[name] = choices
    return names


def name_enums(result: dict[str, Any], **_: Any) -> dict[str, Any]:
    """Hook that runs before the generator's own: by now every field has been made."""
    generator_settings: Any = spectacular_settings
    generator_settings.ENUM_NAME_OVERRIDES = enum_names()
    _load_enum_name_overrides.cache_clear()
    return result
