"""Installs what the apps declare, or refuses to start and says all that is missing."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from django.conf import settings
from django.utils.module_loading import import_string

from practice.core.appspec import AppSpec, installed
from practice.startup import declaration_gaps, django_gaps


class IncompleteSpecs(Exception):
    """Something is declared in one place and missing in another; the program does not start."""

    def __init__(self, gaps: Sequence[str]) -> None:
        self.gaps = tuple(gaps)
        super().__init__("The practice record cannot start:\n  - " + "\n  - ".join(gaps))


def load_specs(names: Iterable[str]) -> tuple[AppSpec, ...]:
    """The specs that a list of dotted names stands for, e.g. ``billing.spec.APP``."""
    return tuple(import_string(name) for name in names)


def install(specs: Sequence[AppSpec]) -> None:
    """Make the program of these specs, in their order. Safe to repeat.

    Raises IncompleteSpecs with every gap; what was installed before stays then.
    """
    if gaps := [*declaration_gaps.find(specs), *django_gaps.find(specs)]:
        raise IncompleteSpecs(gaps)
    installed.fill(specs)
    for table in declaration_gaps.dispatches(specs):
        table.close()


def check_addresses(specs: Sequence[AppSpec] | None = None) -> None:
    """What only a process that serves requests needs; without ``specs``: the program's own.

    Raises IncompleteSpecs with every gap. It imports the addresses with all views, so that the
    first request does not wait for that either.
    """
    given = load_specs(settings.APP_SPECS) if specs is None else specs
    if gaps := list(django_gaps.find_in_addresses(given)):
        raise IncompleteSpecs(gaps)
