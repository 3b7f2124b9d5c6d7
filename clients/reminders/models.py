"""What was to be told to whom, and what came back."""

from __future__ import annotations

from typing import ClassVar
from uuid import uuid4

from django.db import models

from clients.reminders.sealing import unpack


class Reminder(models.Model):
    """One reminder, once for its occasion and addressee. Nothing clinical stands here.

    ``about``: the thing, e.g. a session; ``client_id`` is null for what is of no client.
    ``sealed``: what it says and where it went. ``tries``: how often it was handed to a server;
    more than one may have come twice, with the same id. ``text_day``: the client's day that a
    text took.
    """

    class Status(models.TextChoices):
        """Where it stands."""

        WAITING = "waiting"
        SENT = "sent"
        LISTED = "listed"
        DONE = "done"
        NOT_WANTED = "not_wanted"
        REFUSED = "refused"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    kind = models.CharField(max_length=40)
    about = models.UUIDField()
    occasion = models.CharField(max_length=80)
    addressee = models.CharField(max_length=32)
    client_id = models.UUIDField(null=True)
    practitioner_id = models.UUIDField(null=True)
    channel = models.CharField(max_length=32)
    sealed = models.BinaryField()
    address_code = models.CharField(max_length=64, default="", db_index=True)
    day = models.DateField()
    made_at = models.DateTimeField()
    status = models.CharField(max_length=32, choices=Status.choices)
    tries = models.PositiveIntegerField(default=0)
    sent_at = models.DateTimeField(null=True)
    text_day = models.DateField(null=True)
    done_at = models.DateTimeField(null=True)
    done_by = models.UUIDField(null=True)

    class Meta:
        """Once for occasion and addressee, and one text a day, by the database."""

        constraints: ClassVar[list[models.BaseConstraint]] = [
            models.UniqueConstraint(
                fields=["kind", "about", "occasion", "addressee"], name="reminder_once"
            ),
            models.UniqueConstraint(
                fields=["client_id", "text_day"],
                name="one_text_a_day",
                condition=models.Q(text_day__isnull=False),
            ),
        ]
        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["-made_at", "id"], name="reminder_by_time"),
            models.Index(fields=["status", "-made_at", "id"], name="reminder_by_status"),
            models.Index(fields=["about", "-made_at"], name="reminder_by_thing"),
            models.Index(fields=["client_id", "-made_at", "id"], name="reminder_by_client"),
            models.Index(fields=["addressee", "-made_at", "id"], name="reminder_by_addressee"),
            models.Index(fields=["channel", "-made_at", "id"], name="reminder_by_channel"),
            models.Index(
                fields=["practitioner_id", "-made_at", "id"],
                name="reminder_by_practitioner",
                condition=models.Q(practitioner_id__isnull=False),
            ),
            models.Index(
                fields=["day", "id"],
                name="reminder_to_tell",
                condition=models.Q(status="listed"),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.status}"

    @property
    def told(self) -> str:
        """The sentence for the staff."""
        return unpack(self.client_id, self.sealed)["told"]

    @property
    def address(self) -> str:
        """Where it went; empty before."""
        return unpack(self.client_id, self.sealed)["address"]

    @property
    def why_not(self) -> str:
        """Why it was not sent again once its address worked again; empty otherwise."""
        return unpack(self.client_id, self.sealed).get("why_not", "")


FAILED = models.Q(kind__in=("refused", "bounced", "wrong_number"), lifted_at__isnull=True)
"""Addresses that take nothing."""
TO_CALL = FAILED & models.Q(replaced=False)
"""Those of them that the client still has."""
ANSWERED = models.Q(kind__in=("stopped", "replied"), lifted_at__isnull=True, noted_by__isnull=True)
"""What clients said by link or text; what the staff was told they need not call about."""


class ContactNotice(models.Model):
    """What the world said to a message: an address that takes none, a wish to stop, a reply.

    ``key``: the provider's own id of it, so that what comes twice is one. ``sealed``: where the
    message went, the reply or the server's answer, and why it was lifted. ``noted_by``: who of
    the staff was told it, null for what came by itself. ``lifted_at``, ``lifted_by``: since when
    it holds no more and by whom. ``replaced``: of an address that takes none, the client has it no
    more; it turns back once they give it again.
    """

    class Kind(models.TextChoices):
        """What it was."""

        REFUSED = "refused"
        BOUNCED = "bounced"
        WRONG_NUMBER = "wrong_number"
        STOPPED = "stopped"
        REPLIED = "replied"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    key = models.CharField(max_length=200, unique=True)
    client_id = models.UUIDField()
    kind = models.CharField(max_length=32, choices=Kind.choices)
    channel = models.CharField(max_length=32)
    sealed = models.BinaryField()
    address_code = models.CharField(max_length=64)
    on_day = models.DateField()
    at = models.DateTimeField()
    noted_by = models.UUIDField(null=True)
    lifted_at = models.DateTimeField(null=True)
    lifted_by = models.UUIDField(null=True)
    replaced = models.BooleanField(default=False)

    class Meta:
        """What the call list and a sender ask."""

        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["on_day", "id"], name="notice_failed", condition=TO_CALL),
            models.Index(fields=["on_day", "id"], name="notice_answered", condition=ANSWERED),
            models.Index(fields=["client_id", "-at", "id"], name="notice_by_client"),
        ]

    def __str__(self) -> str:
        return f"{self.kind} {self.channel}"

    @property
    def address(self) -> str:
        """Where the message went."""
        return unpack(self.client_id, self.sealed)["address"]

    @property
    def words(self) -> str:
        """The reply, or the server's answer."""
        return unpack(self.client_id, self.sealed)["words"]

    @property
    def lifted_because(self) -> str:
        """Why it was lifted; empty before."""
        return unpack(self.client_id, self.sealed).get("lifted_because", "")


class UnknownReply(models.Model):
    """A text from a number that fits no client, until a person settles it.

    ``key``: the provider's own id of it. ``sealed``: the number, the words and why it was
    discarded, under the practice's key; emptied once a client is known, whose notice it is then.
    ``stops``: it says that texts end, which holds for the number whoever it is recorded for.
    """

    class Settled(models.TextChoices):
        """What became of it."""

        OPEN = ""
        ASSIGNED = "assigned"
        DISCARDED = "discarded"

    id = models.UUIDField(primary_key=True, default=uuid4, editable=False)
    key = models.CharField(max_length=200, unique=True)
    address_code = models.CharField(max_length=64)
    stops = models.BooleanField()
    sealed = models.BinaryField()
    at = models.DateTimeField()
    settled = models.CharField(max_length=32, choices=Settled.choices, default="", blank=True)
    settled_at = models.DateTimeField(null=True)
    settled_by = models.UUIDField(null=True)

    class Meta:
        """What the list and a sender ask."""

        indexes: ClassVar[list[models.Index]] = [
            models.Index(fields=["-at", "id"], name="unknown_reply_by_time"),
            models.Index(
                fields=["address_code"], name="unknown_stop", condition=models.Q(stops=True)
            ),
        ]

    def __str__(self) -> str:
        return f"reply {self.settled or 'open'}"

    @property
    def number(self) -> str:
        """From where it came."""
        return unpack(None, self.sealed)["number"]

    @property
    def words(self) -> str:
        """What it says."""
        return unpack(None, self.sealed)["words"]

    @property
    def reason(self) -> str:
        """Why it was discarded; empty before."""
        return unpack(None, self.sealed).get("reason", "")

    @property
    def discarded_by(self) -> str:
        """Id of who had discarded it before it was assigned; else empty."""
        return unpack(None, self.sealed).get("discarded_by", "")

    @property
    def correction(self) -> str:
        """Why it was assigned after it had been discarded; else empty."""
        return unpack(None, self.sealed).get("correction", "")
