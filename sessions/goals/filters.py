"""Filters of what was said of home exercise."""

from __future__ import annotations

import django_filters

from practice.http.filters import FilterSet
from sessions.goals.models import HomeExerciseReport


class HomeReportFilter(FilterSet):
    """Of one exercise."""

    home_exercise_id = django_filters.UUIDFilter(
        field_name="home_exercise_id", help_text="Of one exercise."
    )

    class Meta:
        model = HomeExerciseReport
        fields = ("home_exercise_id",)
