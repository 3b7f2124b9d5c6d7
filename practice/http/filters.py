"""Query parameters: a filter that no one knows is refused, not ignored.

A misspelt filter that is silently ignored shows rows that were not asked for.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

import django_filters
from django_filters.rest_framework import DjangoFilterBackend
from rest_framework.request import Request

from practice.core.reasons import Rejected


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


class FilterSet(django_filters.FilterSet):
    """Base of every set of filters; a filter without ``help_text`` is not described."""


class StrictFilterBackend(DjangoFilterBackend):
    """django-filter, after unknown parameters were refused by the view."""

    def names_for(self, view: Any) -> set[str]:
        """The parameters that the view's filterset declares."""
        filterset = getattr(view, "filterset_class", None)
        return set(filterset.base_filters) if filterset is not None else set()
