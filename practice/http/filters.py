"""Query parameters: what a list does not know is refused, not ignored.

One law holds for every filter. An id is named ``<thing>_id``; a range of days ``from`` and
``to``, of instants ``since`` and ``until``; a flag is ``true`` or ``false``. A name or value
that is none of these is 400: a filter that is silently ignored shows rows nobody asked for.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any, ClassVar, cast

import django_filters
from django import forms
from django.core.exceptions import ValidationError
from django_filters.rest_framework import DjangoFilterBackend
from rest_framework import serializers
from rest_framework.request import Request

from practice.core.reasons import Rejected
from practice.http.fields import DayField, InstantField, JurisdictionField


def refuse_unknown_parameters(request: Request, known: Iterable[str]) -> None:
    """Raises Rejected 400 for a parameter that is unknown or given twice."""
    names = sorted(known)
    taken = f"This address takes: {', '.join(names)}." if names else "This address takes none."
    for name, values in request.query_params.lists():
        if name not in names:
            raise Rejected(
                "unknown_parameter",
                f"There is no query parameter {name[:60]!r} here. {taken}",
                status=400,
                fields={name[:60]: taken},
            )
        if len(values) > 1:
            raise Rejected(
                "repeated_parameter",
                f"The query parameter {name!r} is given {len(values)} times; give it once.",
                status=400,
                fields={name: "Give it once."},
            )


class ApiFormField(forms.Field):
    """A value of the query string, checked by the field that checks it in a body."""

    api_field: ClassVar[type[serializers.Field[Any, Any, Any, Any]]]

    def to_python(self, value: Any) -> Any:
        """What the field of the body makes of it. Raises ValidationError with its texts."""
        if value in self.empty_values:
            return None
        try:
            return self.api_field().run_validation(value)
        except serializers.ValidationError as refused:
            texts = refused.detail if isinstance(refused.detail, list) else [refused.detail]
            raise ValidationError([str(text) for text in texts]) from None


class DayFormField(ApiFormField, forms.DateField):
    """A calendar day, ``YYYY-MM-DD``."""

    api_field = DayField


class InstantFormField(ApiFormField, django_filters.fields.IsoDateTimeField):
    """An instant with its offset."""

    api_field = InstantField


class JurisdictionFormField(ApiFormField, forms.CharField):
    """A state or province by its ISO 3166-2 code."""

    api_field = JurisdictionField


class ChoiceFormField(django_filters.fields.ChoiceField):
    """One of a closed list of words."""

    def validate(self, value: Any) -> None:
        """Raises ValidationError with the list for any other word."""
        if value in self.empty_values or self.valid_value(value):
            return
        choices = cast(Iterable[tuple[Any, Any]], self.choices)
        words = ", ".join(str(word) for word, _ in choices if word)
        raise ValidationError(f"Give one of: {words}.")


class StrictBooleanFormField(forms.NullBooleanField):
    """``true`` or ``false``; the framework's own reads 1 and TRUE too, and ignores the rest."""

    widget = forms.TextInput  # the select of the framework would read the word first

    def to_python(self, value: Any) -> Any:
        """The flag. Raises ValidationError for any other word."""
        if value in self.empty_values:
            return None
        if value not in ("true", "false"):
            raise ValidationError("Give true or false.")
        return value == "true"


class ChoiceFilter(django_filters.ChoiceFilter):
    """One of a closed list of words."""

    field_class = ChoiceFormField


class StrictBooleanFilter(django_filters.BooleanFilter):
    """A flag: `true` or `false`, anything else is 400."""

    field_class = StrictBooleanFormField


class DayFilter(django_filters.DateFilter):
    """A day, ``YYYY-MM-DD``."""

    field_class = DayFormField


class InstantFilter(django_filters.IsoDateTimeFilter):
    """An instant with its offset (RFC 3339), in a year that a record can have."""

    field_class = InstantFormField


class JurisdictionFilter(django_filters.CharFilter):
    """A jurisdiction by its code."""

    field_class = JurisdictionFormField


class FilterForm(forms.Form):
    """Every filter that is given has a value: an empty one is no word for "all"."""

    def clean(self) -> None:
        """Raises ValidationError, by field, for filters without a value."""
        for name in self.fields:
            if name in self.data and not str(self.data[name]).strip():
                self.add_error(name, "Give a value, or leave the filter out.")


class FilterSet(django_filters.FilterSet):
    """Base of every set of filters; a filter without ``help_text`` is not described.

    A filter whose name is a keyword of the language is declared with an underscore behind:
    ``from_`` answers to ``from`` (and ``to_``, beside it, to ``to``).
    """

    @classmethod
    def get_filters(cls) -> Any:
        """The filters under the names that a caller uses."""
        return {name.rstrip("_"): one for name, one in super().get_filters().items()}

    def get_form_class(self) -> type[forms.Form]:
        """The form that checks the values."""
        fields = {name: one.field for name, one in self.filters.items()}
        return type(f"{type(self).__name__}Form", (FilterForm,), fields)


class StrictFilterBackend(DjangoFilterBackend):
    """django-filter, after unknown parameters were refused by the view."""

    def names_for(self, view: Any) -> set[str]:
        """The parameters that the view's filterset declares."""
        filterset = getattr(view, "filterset_class", None)
        return set(filterset.base_filters) if filterset is not None else set()
