"""Range of motion: readings with their labels, the picture, goals."""

from __future__ import annotations

from typing import Any

from practice.core.terms import Instrument, MotionType, Movement, Side
from practice.http.filters import ChoiceFilter, FilterSet
from sessions.measurements.models import Reading


def _choices(kind: Any) -> list[tuple[str, str]]:
    return [(one.value, one.value) for one in kind]


class ReadingFilter(FilterSet):
    """Filters of the series."""

    movement = ChoiceFilter(choices=_choices(Movement), help_text="Movement.")
    side = ChoiceFilter(choices=_choices(Side), help_text="Side.")
    motion = ChoiceFilter(choices=_choices(MotionType), help_text="Who moved.")
    instrument = ChoiceFilter(choices=_choices(Instrument), help_text="Instrument.")

    class Meta:
        model = Reading
        fields = ("movement", "side", "motion", "instrument")
