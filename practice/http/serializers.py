"""Input that takes only what it names."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from typing import Any, ClassVar, Final

import msgspec
from django.utils.functional import cached_property
from rest_framework import serializers
from rest_framework.fields import empty
from rest_framework.utils.serializer_helpers import BindingDict

WHOLE: Final = "non_field_errors"
"""The framework's key of what is wrong with an object or a list as a whole."""


class BoundOnce(serializers.BaseSerializer[Any]):
    """The fields of a class are built and bound once, not in each request.

    The framework copies every declared field for every instance. Fields keep nothing of what
    they read or show, so instances may share them. One that was given a context has its own:
    fields find it by way of what they are bound to.
    """

    @cached_property
    def fields(self) -> BindingDict:
        """The fields by name."""
        if getattr(self.root, "_context", None):
            return super().fields  # type: ignore[misc,no-any-return]
        kind: Any = type(self)
        return _shared_fields(kind)


_TEMPLATE: Final = {"template": True}
"""The context of an instance that lives as long as the program, for its fields alone."""


@cache
def _shared_fields(kind: Any) -> BindingDict:
    fields: BindingDict = kind(context=_TEMPLATE).fields
    return fields


@cache
def _fields_to_leave_out(kind: Any) -> BindingDict:
    """Those of a partial input: each whole field may be left out, never the inside of a nested
    one. The framework's own ``partial`` reaches into nested serializers too."""
    fields: BindingDict = kind(context=_TEMPLATE).fields
    for field in fields.values():
        if not field.read_only:
            field.required, field.default = False, empty
    return fields


class RecordSerializer(BoundOnce, serializers.Serializer[Any]):
    """What is read or shown, with fields bound once."""


class StrictList(serializers.ListSerializer[Any]):
    """A list of inputs: where null may stand for the list it stands for none of its items."""

    def to_internal_value(self, data: Any) -> Any:
        """The validated items; 400 for what is no list."""
        if not isinstance(data, list):
            fields = getattr(self.child, "fields", None)
            each = f" Each of it: {_shape_of(fields)}" if fields else ""
            raise serializers.ValidationError({WHOLE: [f"A list is expected here.{each}"]})
        return super().to_internal_value(data)

    def run_child_validation(self, data: Any) -> Any:
        """The validated item; the framework lets the items be null where the list may be."""
        if data is None:
            raise serializers.ValidationError("An item of this list may not be null.")
        return super().run_child_validation(data)


def _shape_of(fields: BindingDict) -> str:
    """What an object has, for one who sent something else."""
    known = {name: field for name, field in fields.items() if not field.read_only}
    needed = [name for name, field in known.items() if field.required]
    rest = [name for name in known if name not in needed]
    parts = [f"with {', '.join(needed)}"] if needed else []
    parts += [f"perhaps {', '.join(rest)}"] if rest else []
    shape = ", ".join(f'"{name}": …' for name in needed or rest[:1])
    return f"An object is expected here, {' and '.join(parts)}, e.g. {{{shape}}}."


class StrictSerializer(RecordSerializer):
    """A serializer that refuses a field it does not know, naming those it does.

    ``command`` names the struct or dataclass that ``to_command`` makes of the
    validated input; more of its fields come as keywords. ``example`` is a worked body that
    goes through as it stands (ids by ``example_id``); a test sends it.
    """

    command: ClassVar[type[Any] | None] = None
    example: ClassVar[Mapping[str, Any] | None] = None

    class Meta:
        """How many of them are read."""

        list_serializer_class = StrictList

    def to_internal_value(self, data: Any) -> Any:
        """The validated input; 400 for unknown fields, and for what is no object."""
        if not isinstance(data, Mapping):
            raise serializers.ValidationError({WHOLE: [_shape_of(self.fields)]})
        known = [name for name, field in self.fields.items() if not field.read_only]
        unknown = [name for name in data if name not in known]
        if unknown:
            takes = f"Unknown field. Known are: {', '.join(sorted(known)) or 'none'}."
            raise serializers.ValidationError({name: [takes] for name in unknown[:20]})
        wrong = [name for name in known if _number_as_id(self.fields[name], data.get(name))]
        if wrong:
            says = "An id is written as text, e.g. 0b1f0c5e-9d0b-4b57-8a62-3f1a6f1b7e10."
            raise serializers.ValidationError({name: [says] for name in wrong})
        return super().to_internal_value(data)

    def to_command(self, **more: Any) -> Any:
        """The command of the validated input: of its kind, or a dict where it names none."""
        if self.command is None:
            return {**self.validated_data, **more}
        return build_command(self.command, {**self.validated_data, **more})

    @classmethod
    def read(cls, data: Any, *, partial: bool = False, **more: Any) -> Any:
        """The command of raw input in one step. Raises ValidationError (400)."""
        form = cls._form(data, partial=partial)
        form.is_valid(raise_exception=True)
        return form.to_command(**more)

    @classmethod
    def checked(
        cls, data: Any, *, partial: bool = False, from_query: bool = False
    ) -> dict[str, Any]:
        """The validated input as a dict. Raises ValidationError (400).

        In a query string (``from_query``) numbers and flags are words.
        """
        form = cls._form(data, partial=partial, from_query=from_query)
        form.is_valid(raise_exception=True)
        return dict(form.validated_data)

    @classmethod
    def _form(cls, data: Any, *, partial: bool, from_query: bool = False) -> StrictSerializer:
        form = cls(data=data, context={"from_query": True} if from_query else {})
        if partial:
            form.fields = _fields_to_leave_out(cls)
        return form


def _number_as_id(field: Any, value: Any) -> bool:
    """Whether a number stands where an id does: the framework makes a UUID of any integer."""
    if isinstance(field, serializers.ListField):
        return isinstance(value, list) and any(_number_as_id(field.child, one) for one in value)
    return isinstance(field, serializers.UUIDField) and isinstance(value, int)


def build_command(kind: type[Any], values: Mapping[str, Any]) -> Any:
    """A struct or dataclass from validated values, nested ones included."""
    return msgspec.convert(_plain(values), kind, strict=False)


def _plain(value: Any) -> Any:
    """Dicts and lists as they are; structs and everything else unchanged."""
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, msgspec.Struct):
        return msgspec.structs.asdict(value)
    return value
