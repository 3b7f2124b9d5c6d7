"""The practice, its settings, the law on record, the history of changes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

import django_filters
from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.api.describe import described
from practice.api.filters import FilterSet
from practice.api.forms.rules import (
    ChangedSetting,
    ChangeRow,
    JurisdictionLimitForm,
    PracticeForm,
    SettingForm,
    SettingPatch,
)
from practice.api.roles import ANY_STAFF, CLINICAL, OWNER_ONLY
from practice.api.views import Answer, ApiView, ListView
from practice.domain.reasons import existing
from practice.domain.terms import Activity, Credential
from practice.models import (
    PRACTICE_ID,
    JurisdictionLimit,
    Practice,
    PracticeSetting,
    SettingChange,
)
from practice.services import hooks, limits, practice_settings


@extend_schema_view(
    get=described("Read the practice", gives=PracticeForm, tags=["practice"]),
    patch=described(
        "Change the practice's name, zone or phone",
        takes=PracticeForm(partial=True),
        gives=PracticeForm,
        if_match="optional",
        tags=["practice"],
    ),
)
class ThePractice(ApiView):
    """The practice."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request) -> Response:
        """Name, default zone and phone."""
        row = Practice.objects.get(pk=PRACTICE_ID)
        return self.shown(PracticeForm(row).data, version=row.revision)

    def patch(self, request: Request) -> Any:
        """Change what is given."""
        given = PracticeForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = practice_settings.practice_change(work, given, match)
            return Answer(PracticeForm(row).data, version=row.revision)

        return self.command(request, act)


class SettingFilter(FilterSet):
    """Filters of the list of settings."""

    group = django_filters.CharFilter(help_text="Settings of one group, e.g. `permissions`.")

    class Meta:
        model = PracticeSetting
        fields = ("group",)


@extend_schema_view(
    get=described(
        "List the practice's settings with what they rest on",
        gives=SettingForm(many=True),
        tags=["practice"],
    )
)
class Settings(ListView):
    """Thresholds and policies, each with its citation."""

    roles = {"GET": CLINICAL}
    serializer_class = SettingForm
    filterset_class = SettingFilter
    order = ("group", "key", "id")

    def get_queryset(self) -> Any:
        """All settings."""
        return PracticeSetting.objects.all()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)


@extend_schema_view(
    get=described("Read a setting", gives=SettingForm, refuses=(404,), tags=["practice"]),
    patch=described(
        "Change a setting, with what it rests on",
        takes=SettingPatch,
        gives=ChangedSetting,
        refuses=(404,),
        if_match="optional",
        description="Numbers stay within `least` and `most`. Sessions to come are judged again.",
        tags=["practice"],
    ),
)
class OneSetting(ApiView):
    """One setting."""

    roles = {"GET": CLINICAL, "PATCH": OWNER_ONLY}

    def get(self, request: Request, setting_id: UUID) -> Response:
        """The setting with its revision as ETag."""
        row = existing(PracticeSetting.objects.filter(pk=setting_id).first(), "setting")
        return self.shown(SettingForm(row).data, version=row.revision)

    def patch(self, request: Request, setting_id: UUID) -> Any:
        """A new value needs its citation; future sessions are judged again."""
        given = SettingPatch.checked(request.data)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = practice_settings.setting_change(work, setting_id, given, match)
            again = {"sessions_judged_again": hooks.count_sessions_ahead()}
            return Answer({**SettingForm(row).data, **again}, version=row.revision)

        return self.command(request, act)


class LimitFilter(FilterSet):
    """Filters of the list of limits."""

    jurisdiction = django_filters.CharFilter(help_text="ISO 3166-2 code, e.g. `US-CA`.")
    credential = django_filters.ChoiceFilter(
        choices=[(c.value, c.value) for c in Credential], help_text="Limits of one credential."
    )
    activity = django_filters.ChoiceFilter(
        choices=[(a.value, a.value) for a in Activity], help_text="Limits on one activity."
    )

    class Meta:
        model = JurisdictionLimit
        fields = ("jurisdiction", "credential", "activity")


@extend_schema_view(
    get=described(
        "List limits by jurisdiction", gives=JurisdictionLimitForm(many=True), tags=["practice"]
    ),
    post=described(
        "Record a limit of a jurisdiction",
        takes=JurisdictionLimitForm,
        gives=JurisdictionLimitForm,
        status=201,
        idempotency="optional",
        tags=["practice"],
    ),
)
class Limits(ListView):
    """What jurisdictions let credentials do, with source and date verified."""

    roles = {"GET": ANY_STAFF, "POST": OWNER_ONLY}
    serializer_class = JurisdictionLimitForm
    filterset_class = LimitFilter
    order = ("jurisdiction", "credential", "activity", "pathology", "effective_from", "id")

    def get_queryset(self) -> Any:
        """All rows, past ones too."""
        return JurisdictionLimit.objects.all()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)

    def post(self, request: Request) -> Any:
        """A new row."""
        given = JurisdictionLimitForm.checked(request.data)

        def act(work: Any) -> Answer:
            row = limits.limit_add(work, given)
            return Answer(JurisdictionLimitForm(row).data, version=row.revision)

        return self.command(request, act, status=201)


@extend_schema_view(
    get=described("Read a limit", gives=JurisdictionLimitForm, refuses=(404,), tags=["practice"]),
    patch=described(
        "Correct a limit",
        takes=JurisdictionLimitForm(partial=True),
        gives=JurisdictionLimitForm,
        refuses=(404, 409),
        if_match="optional",
        tags=["practice"],
    ),
)
class OneLimit(ApiView):
    """One row of law."""

    roles = {"GET": ANY_STAFF, "PATCH": OWNER_ONLY}

    def get(self, request: Request, limit_id: UUID) -> Response:
        """The row with its revision as ETag."""
        row = existing(JurisdictionLimit.objects.filter(pk=limit_id).first(), "limit")
        return self.shown(JurisdictionLimitForm(row).data, version=row.revision)

    def patch(self, request: Request, limit_id: UUID) -> Any:
        """Change what is given; future sessions are judged again."""
        given = JurisdictionLimitForm.checked(request.data, partial=True)
        match = self.if_match(request)

        def act(work: Any) -> Answer:
            row = limits.limit_change(work, limit_id, given, match)
            return Answer(JurisdictionLimitForm(row).data, version=row.revision)

        return self.command(request, act)


class ChangeFilter(FilterSet):
    """Filters of the history of changes."""

    table = django_filters.CharFilter(help_text="One table, e.g. `practice.Facility`.")
    row_id = django_filters.CharFilter(help_text="One row.")
    actor = django_filters.UUIDFilter(help_text="Changes made by one account.")

    class Meta:
        model = SettingChange
        fields = ("table", "row_id", "actor")


@extend_schema_view(
    get=described(
        "List changes of the practice's tables", gives=ChangeRow(many=True), tags=["practice"]
    )
)
class Changes(ListView):
    """Who changed what in the practice's tables, newest first."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = ChangeRow
    filterset_class = ChangeFilter
    order = ("-id",)

    def get_queryset(self) -> Any:
        """All changes."""
        return SettingChange.objects.all()

    def get(self, request: Request) -> Response:
        """One page."""
        return self.listed(request)
