"""Range of motion: readings with their labels, the picture, goals."""

from __future__ import annotations

from typing import Any

import django_filters

from practice.core.terms import Instrument, MotionType, Movement, Side
from practice.http.filters import FilterSet
from sessions.measurements.models import Reading


def _choices(kind: Any) -> list[tuple[str, str]]:
    return [(one.value, one.value) for one in kind]


class ReadingFilter(FilterSet):
    """Filters of the series."""

    movement = django_filters.ChoiceFilter(choices=_choices(Movement), help_text="Movement.")
    side = django_filters.ChoiceFilter(choices=_choices(Side), help_text="Side.")
    motion = django_filters.ChoiceFilter(choices=_choices(MotionType), help_text="Who moved.")
    instrument = django_filters.ChoiceFilter(choices=_choices(Instrument), help_text="Instrument.")

    class Meta:
        model = Reading
        fields = ("movement", "side", "motion", "instrument")
