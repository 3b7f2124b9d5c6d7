"""What signing in takes and gives, and what I may read of myself."""

from __future__ import annotations

from typing import Any

from rest_framework import serializers

from practice.core.terms import Role
from practice.http.fields import EnumField, InstantField, TextField
from practice.http.serializers import StrictSerializer


class SignInInputSerializer(StrictSerializer):
    """What signing in takes: username and password."""

    example = {
        "username": "desk.rivera",
        "password": "a long sentence of your own",
        "label": "front desk computer",
    }

    username = TextField(max_length=60, help_text="The account's username, e.g. `desk.rivera`.")
    password = serializers.CharField(
        max_length=200,
        trim_whitespace=False,
        write_only=True,
        help_text="The account's password, e.g. `a long sentence of your own`.",
    )
    label = TextField(  # type: ignore[assignment]  # shadows a field's own
        max_length=60,
        required=False,
        default="",
        allow_blank=True,
        help_text="What the token is for, e.g. `front desk computer`.",
    )


class TokenOutputSerializer(StrictSerializer):
    """A token of mine, without the token itself."""

    id = serializers.UUIDField(help_text="Id to revoke it by.")
    label = serializers.CharField(  # type: ignore[assignment]  # shadows a field's own
        help_text="What it is for, e.g. `front desk computer`."
    )
    created_at = InstantField(help_text="When it was made, e.g. `2026-03-09T16:30:00Z`.")
    expires_at = InstantField(help_text="Until when it lives, e.g. `2026-03-10T04:30:00Z`.")
    revoked_at = InstantField(help_text="When it was revoked, or null.", allow_null=True)


class IssuedTokenOutputSerializer(TokenOutputSerializer):
    """A new token, shown once."""

    token = serializers.CharField(help_text="Send as `Authorization: Bearer <token>`.")
    role = EnumField(Role, help_text="The role it brings, e.g. `front_desk`.")


class FacilitySummaryOutputSerializer(StrictSerializer):
    """A facility that I am assigned to."""

    id = serializers.UUIDField(help_text="Id of the facility.")
    name = serializers.CharField(help_text="Name, e.g. `Riverside`.")
    zone = serializers.CharField(help_text="IANA time zone, e.g. `America/New_York`.")


class MyAccountOutputSerializer(StrictSerializer):
    """The account of the caller."""

    id = serializers.UUIDField(help_text="Id of the account.")
    username = serializers.CharField(help_text="Username, e.g. `desk.rivera`.")
    name = serializers.CharField(help_text="Name, e.g. `Ana Rivera`.")
    role = EnumField(Role, help_text="Role, e.g. `front_desk`.")
    practitioner_id = serializers.UUIDField(
        allow_null=True, help_text="The practitioner that this account belongs to, or null."
    )
    facilities = FacilitySummaryOutputSerializer(
        many=True, help_text="Facilities whose rows I see."
    )


class PasswordChangeInputSerializer(StrictSerializer):
    """My present password and the new one."""

    example = {
        "current_password": "the sentence I had before",
        "new_password": "a long sentence of your own",
    }

    current_password = serializers.CharField(
        max_length=200,
        trim_whitespace=False,
        write_only=True,
        help_text="The present password, e.g. `the sentence I had before`.",
    )
    new_password = serializers.CharField(
        max_length=200,
        trim_whitespace=False,
        write_only=True,
        help_text="At least 12 characters, e.g. `a long sentence of your own`.",
    )

    def validate(self, attrs: dict[str, Any]) -> dict[str, Any]:
        """The new one differs from the present one."""
        if attrs["current_password"] == attrs["new_password"]:
            raise serializers.ValidationError({"new_password": ["Take another password."]})
        return attrs
