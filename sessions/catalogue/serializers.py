"""Stretches of the catalogue as they are sent and shown."""

from __future__ import annotations

from rest_framework import serializers

from practice.http.fields import FlagField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.catalogue.examples import WALL_SLIDE


class CatalogueEntryOutputSerializer(RecordSerializer):
    """A stretch of the catalogue in one version."""

    code = serializers.CharField(help_text="Code, e.g. `abduction_pattern`.")
    version = serializers.IntegerField(help_text="Version; the ETag.")
    is_active = serializers.BooleanField(help_text="false where it is out of use.")
    content = serializers.JSONField(help_text="All a practitioner must know to do it well.")


class CatalogueEntryInputSerializer(StrictSerializer):
    """A new stretch of the practice's own."""

    example = {"code": "wall_slide", "content": WALL_SLIDE}

    code = TextField(max_length=60, help_text="Small letters, digits, underscores.")
    content = serializers.JSONField(help_text="As in the catalogue's other entries.")


class CatalogueEntryPatchInputSerializer(StrictSerializer):
    """The next version of a stretch."""

    example = {"is_active": False}

    content = serializers.JSONField(required=False, help_text="The whole content anew.")
    is_active = FlagField(required=False, help_text="false takes it out of use.")
