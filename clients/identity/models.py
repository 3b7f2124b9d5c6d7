"""Who the clients are and at which facilities they are known."""

from __future__ import annotations

from typing import ClassVar

from django.db import models

from practice.work.models import ReadTable


class Client(ReadTable):
    """One client; ``id`` is that of the record.

    ``by_family`` and ``by_given`` are the name as it is searched and sorted: small
    letters without accents, family name first or given name first.
    """

    name = models.CharField(max_length=250)
    given_name = models.CharField(max_length=120)
    family_name = models.CharField(max_length=120)
    by_family = models.CharField(max_length=500)
    by_given = models.CharField(max_length=500)
    birth_date = models.DateField(null=True)
    phone = models.CharField(max_length=20)
    email = models.CharField(max_length=254)
    zone = models.CharField(max_length=64)
    language = models.CharField(max_length=20)
    contact_by = models.CharField(max_length=32)
    facility_ids = models.JSONField(default=list)
    registered_at = models.DateTimeField()
    phones = models.JSONField(default=list)
    contact_also_by = models.JSONField(default=list)
    contact_hours = models.JSONField(null=True)
    interpreter_needed = models.BooleanField(default=False)
    emergency_contacts = models.JSONField(default=list)
    referrer = models.JSONField(null=True)
    guardian = models.JSONField(null=True)
    unsuitable_times = models.JSONField(default=list)
    planned_sessions_per_week = models.PositiveSmallIntegerField(null=True)
    told_apart_from = models.JSONField(default=list)
    doubles_shown = models.JSONField(default=list)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["by_family", "id"], name="client_by_family"),
            models.Index(
                fields=["by_family"], name="client_family_begins", opclasses=["varchar_pattern_ops"]
            ),
            models.Index(
                fields=["by_given"], name="client_given_begins", opclasses=["varchar_pattern_ops"]
            ),
            models.Index(fields=["birth_date"], name="client_by_birth"),
            models.Index(fields=["phone"], name="client_by_phone"),
        ]


class ClientFacility(ReadTable):
    """A facility where a client is known: its staff see the record."""

    facility_id = models.UUIDField()

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["facility_id", "client_id"], name="client_at_facility"),
        ]


class ClientSearchCode(ReadTable):
    """A code that a client is found by, and the part of the name that it is of.

    What the codes are is said in ``clients/identity/domain/names.py``.
    """

    code = models.CharField(max_length=64)
    part = models.CharField(max_length=64)

    class Meta(ReadTable.Meta):
        abstract = False
        indexes: ClassVar[list[models.Index]] = [
            models.Index(
                fields=["code", "part", "client_id"],
                name="client_by_code",
                opclasses=["varchar_pattern_ops", "varchar_ops", "uuid_ops"],
            ),
        ]
