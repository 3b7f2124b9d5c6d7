"""Staff accounts and their access tokens."""

from __future__ import annotations

from datetime import datetime
from typing import Any, ClassVar
from uuid import uuid4

from django.contrib.auth.base_user import AbstractBaseUser, BaseUserManager
from django.db import models

from practice.core.terms import Role
from practice.people_and_places.models.facilities import Facility
from practice.people_and_places.models.practitioners import Practitioner
from practice.policy.rows import RevisionedModel


class StaffManager(BaseUserManager["Staff"]):
    """Makes accounts with a hashed password."""

    def create_user(self, username: str, password: str, **fields: Any) -> Staff:
        """A new account, stored with the hash of its password."""
        staff = self.model(username=username, **fields)
        staff.set_password(password)
        staff.save(using=self._db)
        return staff


class Staff(RevisionedModel, AbstractBaseUser):
    """An account with one role. A practitioner's account names its practitioner."""

    username = models.CharField(max_length=60, unique=True)
    name = models.CharField(max_length=120)
    role = models.CharField(max_length=20, choices=[(r.value, r.value) for r in Role])
    practitioner = models.OneToOneField(
        Practitioner, models.PROTECT, null=True, blank=True, related_name="account"
    )
    facilities = models.ManyToManyField(Facility, related_name="staff", blank=True)
    is_active = models.BooleanField(default=True)

    objects: ClassVar[StaffManager] = StaffManager()

    USERNAME_FIELD = "username"
    REQUIRED_FIELDS: ClassVar[list[str]] = ["name", "role"]

    def __str__(self) -> str:
        return self.username


class AccessToken(models.Model):
    """A bearer token by its SHA-256; the token itself is not kept."""

    digest = models.CharField(primary_key=True, max_length=64)
    id = models.UUIDField(unique=True, default=uuid4, editable=False)
    staff = models.ForeignKey(Staff, models.CASCADE, related_name="tokens")
    label = models.CharField(max_length=60, blank=True)
    created_at = models.DateTimeField()
    expires_at = models.DateTimeField()
    revoked_at = models.DateTimeField(null=True)
    seal = models.BinaryField()  # see ``token_seals``

    def __str__(self) -> str:
        return f"token of {self.staff_id}"

    def is_live(self, now: datetime) -> bool:
        """Neither expired nor revoked."""
        return self.revoked_at is None and self.expires_at > now
