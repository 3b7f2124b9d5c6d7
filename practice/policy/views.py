"""The practice, its settings, the history of changes."""

from __future__ import annotations

from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema_view
from rest_framework.request import Request
from rest_framework.response import Response

from practice.http.base_views import ApiView, ListView
from practice.http.commands import Command, CommandView
from practice.http.openapi import endpoint
from practice.http.representations import Representation, row_renderer
from practice.http.roles import ANY_STAFF, CLINICAL, OWNER_ONLY
from practice.policy import hooks, services
from practice.policy.as_known import settings_of_revision
from practice.policy.filters import SettingChangeFilter, SettingFilter
from practice.policy.models import PracticeSetting
from practice.policy.selectors import practice_get, setting_change_list, setting_get, setting_list
from practice.policy.serializers import (
    ChangedSettingOutputSerializer,
    PracticeSerializer,
    SettingChangeOutputSerializer,
    SettingOutputSerializer,
    SettingPatchInputSerializer,
    SettingRevisionOutputSerializer,
)
from practice.work.unit_of_work import UnitOfWork


def render_changed_setting(_uow: UnitOfWork, row: PracticeSetting) -> Representation:
    """A setting with how many sessions to come are re-evaluated by it."""
    count = hooks.count_upcoming_sessions() if hooks.evaluates_sessions(row.group) else 0
    shown = {**SettingOutputSerializer(row).data, "sessions_reevaluated": count}
    return Representation(shown, row.revision)


class PracticeView(CommandView):
    """The practice as a whole."""

    roles = {"GET": ANY_STAFF}
    names_no_client = True

    @endpoint(
        "Read the practice",
        response=PracticeSerializer,
        description=(
            "Its name, the phone that reminders give, and the zone that counts where no "
            "facility decides. Its revision, for `If-Match`, is the ETag."
        ),
        tags=["practice"],
    )
    def get(self, request: Request) -> Response:
        """Name, default zone and phone."""
        row = practice_get()
        return self.read_response(PracticeSerializer(row).data, version=row.revision)

    patch = Command(
        "Change the practice's name, zone or phone",
        tag="practice",
        roles=OWNER_ONLY,
        input=PracticeSerializer,
        partial=True,
        output=PracticeSerializer,
        if_match="required",
        execute=services.practice_change,
        render=row_renderer(PracticeSerializer),
        description=(
            "Fields left out stay; the zone of a facility or client is not touched by it. "
            "Reminders and printouts show the new ones from now on."
        ),
    )


@extend_schema_view(
    get=endpoint(
        "List the practice's settings with what they rest on",
        response=SettingOutputSerializer(many=True),
        description=(
            "Thresholds and policies by group, each with its value, unit, the bounds within "
            "which it may be changed, and the citation that it rests on."
        ),
        tags=["practice"],
    )
)
class SettingListView(ListView):
    """Thresholds and policies, each with its citation."""

    roles = {"GET": CLINICAL}
    names_no_client = True
    serializer_class = SettingOutputSerializer
    filterset_class = SettingFilter
    order = ("group", "key", "id")

    def get_queryset(self) -> Any:
        return setting_list()


class SettingDetailView(CommandView):
    """One setting with its unit and citation."""

    roles = {"GET": CLINICAL}
    names_no_client = True

    @endpoint(
        "Read a setting",
        response=SettingOutputSerializer,
        errors=(404,),
        description=(
            "Value, unit, what it decides, the bounds within which it may be changed, and "
            "its citation. Its revision, which a change must name in `If-Match`, is the "
            "ETag."
        ),
        tags=["practice"],
    )
    def get(self, request: Request, setting_id: UUID) -> Response:
        """The setting with its revision as ETag."""
        row = setting_get(setting_id)
        return self.read_response(SettingOutputSerializer(row).data, version=row.revision)

    patch = Command(
        "Change a setting, with what it rests on",
        tag="practice",
        roles=OWNER_ONLY,
        input=SettingPatchInputSerializer,
        output=ChangedSettingOutputSerializer,
        errors=(404,),
        if_match="required",
        execute=services.setting_change,
        render=render_changed_setting,
        description=(
            "Numbers stay within `least` and `most`. Sessions to come are re-evaluated where what "
            "is permitted depends on the setting."
        ),
    )


class SettingRevisionView(ApiView):
    """A group of settings as it stood at one of its revisions."""

    roles = {"GET": CLINICAL}
    names_no_client = True

    @endpoint(
        "Read the settings of a revision",
        response=SettingRevisionOutputSerializer,
        errors=(404,),
        description=(
            "What a kept verdict names as the revision of a group: every value as it was "
            "then, with what it rested on, whatever has changed since."
        ),
        tags=["practice"],
    )
    def get(self, request: Request, group: str, revision: int) -> Response:
        """The values that stood then, with what they rested on."""
        rows = settings_of_revision(group, revision)
        shown = {"group": group, "revision": revision, "settings": rows}
        return self.read_response(SettingRevisionOutputSerializer(shown).data)


@extend_schema_view(
    get=endpoint(
        "List changes of the practice's tables",
        response=SettingChangeOutputSerializer(many=True),
        description=(
            "Settings, law, people, places, payers and accounts: which row, who, when, and "
            "the values before and after. Newest first; passwords are not among them."
        ),
        tags=["practice"],
    )
)
class SettingChangeListView(ListView):
    """Who changed what in the practice's tables, newest first."""

    roles = {"GET": OWNER_ONLY}
    serializer_class = SettingChangeOutputSerializer
    filterset_class = SettingChangeFilter
    order = ("-id",)

    def get_queryset(self) -> Any:
        return setting_change_list()
