"""What a session was permitted to be, as it was kept."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from rest_framework import serializers

from clients.permissions.domain.results import HandsOnExtent, UsedRowKind
from practice.core.reasons import Reason
from practice.core.terms import Role, Technique
from practice.http.fields import EnumField, InstantField
from practice.http.problems import ReasonSerializer
from practice.http.reasons import ModeField, shown_reasons
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.assessment.serializers import (
    MovementLimitOutputSerializer,
    StretchSetOutputSerializer,
)
from sessions.calendar.domain.terms import PermissionsSnapshot
from sessions.reevaluation.selectors.kept_permissions import KeptPermissions


class KeptPermissionsQuerySerializer(StrictSerializer):
    """Until when."""

    known_at = InstantField(
        required=False, help_text="Only what was recorded by this instant, with offset."
    )


class KeptStretchesOutputSerializer(RecordSerializer):
    """Stretches that came out alike, for the same reasons and within the same ranges."""

    mode = ModeField(help_text="What it was permitted to be.")
    planned = ModeField(help_text="The same if the arrival answers brought nothing new.")
    reasons = ReasonSerializer(many=True, help_text="Everything that narrowed it.")
    cautions = ReasonSerializer(many=True, help_text="What was to be heeded.")
    limits = MovementLimitOutputSerializer(many=True, help_text="Ranges to stay within.")
    offered_instead = EnumField(
        Technique, allow_null=True, help_text="A technique to use instead, if one was offered."
    )
    of = StretchSetOutputSerializer(many=True, help_text="Which stretches.")


class UsedRowThenOutputSerializer(RecordSerializer):
    """A row of the practice's tables that a verdict rests on, as it stood then."""

    kind = EnumField(UsedRowKind, help_text="Which table, e.g. `licence`.")
    id = serializers.UUIDField(help_text="Id of the row.")
    revision = serializers.IntegerField(help_text="Its revision then.")
    text = serializers.CharField(help_text="What it said then; empty where nothing is left of it.")


class KeptPermissionsOutputSerializer(RecordSerializer):
    """One verdict as it was kept, with everything that it used."""

    event = serializers.CharField(help_text="What kept it, e.g. `session.booked`, `note.signed`.")
    version = serializers.IntegerField(help_text="Number of that event in the record.")
    occurred_at = InstantField(help_text="When that happened.")
    recorded_at = InstantField(help_text="When it was recorded: what was known then counted.")
    mode = ModeField(help_text="The widest that any of it was permitted to be.")
    hands_on = EnumField(HandsOnExtent, help_text="How much of the programme was by hand.")
    hands_on_planned = EnumField(
        HandsOnExtent, help_text="The same if the arrival answers brought nothing new."
    )
    provisional = serializers.BooleanField(help_text="The day's questions were not all answered.")
    reasons = ReasonSerializer(many=True, help_text="Why no more than that.")
    stretches = KeptStretchesOutputSerializer(many=True, help_text="By distinct outcome.")
    programme = StretchSetOutputSerializer(
        many=True, help_text="What the client was on; empty: the whole catalogue was meant."
    )
    rules = serializers.IntegerField(help_text="Version of the rules in the program.")
    settings = serializers.DictField(
        child=serializers.IntegerField(),
        help_text="Revision of each group of settings, e.g. `permissions`: readable at"
        " `settings/{group}/revisions/{revision}`.",
    )
    record = serializers.IntegerField(help_text="Version of the client's record.")
    catalogue = serializers.IntegerField(help_text="Version of the catalogue of stretches.")
    consent_id = serializers.UUIDField(allow_null=True, help_text="The touch consent.")
    orders = serializers.ListField(
        child=serializers.UUIDField(), help_text="Orders that were in force that day."
    )
    rows = UsedRowThenOutputSerializer(
        many=True, help_text="Licences, sign-offs, supervision and law, as they stood."
    )


class KeptPermissionsListOutputSerializer(RecordSerializer):
    """Every verdict that was kept for a session."""

    results = KeptPermissionsOutputSerializer(many=True, help_text="Oldest first.")


def serialize_kept_permissions(role: Role, kept: KeptPermissions) -> dict[str, Any]:
    """One kept verdict as one role may read it."""
    permissions = kept.permissions
    return {
        "event": kept.event.type,
        "version": kept.event.version,
        "occurred_at": kept.event.occurred_at,
        "recorded_at": kept.event.recorded_at,
        "mode": permissions.mode,
        "hands_on": permissions.extent,
        "hands_on_planned": permissions.planned_extent,
        "provisional": permissions.provisional,
        "reasons": shown_reasons(role, permissions.reasons),
        "stretches": _stretches(role, permissions),
        "programme": permissions.programme,
        "rules": permissions.rules,
        "settings": permissions.settings,
        "record": permissions.record,
        "catalogue": permissions.catalogue,
        "consent_id": permissions.consent_id,
        "orders": permissions.orders,
        "rows": kept.rows,
    }


def _stretches(role: Role, permissions: PermissionsSnapshot) -> list[dict[str, Any]]:
    def told(places: Sequence[int]) -> list[dict[str, str]]:
        found: list[Reason] = [permissions.stretch_reasons[place] for place in places]
        return shown_reasons(role, found)

    return [
        {
            "mode": one.mode,
            "planned": one.planned,
            "reasons": told(one.reasons),
            "cautions": told(one.cautions),
            "limits": one.limits,
            "offered_instead": one.offered_instead,
            "of": one.of,
        }
        for one in permissions.stretches
    ]
