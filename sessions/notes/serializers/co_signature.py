"""Serializers of co-signatures: what is said with one, where one stands, what waits for one."""

from __future__ import annotations

from rest_framework import serializers

from practice.core.terms import Credential
from practice.http.examples import example_id
from practice.http.fields import EnumField, InstantField, TextField
from practice.http.problems import ReasonSerializer as ReasonForm
from practice.http.serializers import RecordSerializer, StrictSerializer
from sessions.notes.domain.co_signatures import CoSignatureStatus


class CoSignatureInputSerializer(StrictSerializer):
    """What is said with a co-signature."""

    example = {"words": "Read with its addenda; agreed."}

    words = TextField(
        required=False,
        allow_blank=True,
        max_length=2000,
        help_text="Own words, if any, e.g. `Read and agreed.`",
    )


class NoteReturnInputSerializer(StrictSerializer):
    """Why a note is sent back to its author."""

    example = {"reason": "Say how the client responded to the contract-relax."}

    reason = TextField(
        max_length=2000, help_text="What is to be put right or explained, in own words."
    )


class ReturnTakeBackInputSerializer(StrictSerializer):
    """Why a return is taken back."""

    example = {"reason": "The response stands in the lines; I had read past it."}

    reason = TextField(max_length=2000, help_text="Why, in own words.")


class CoSignerNamingInputSerializer(StrictSerializer):
    """Who co-signs in place of a supervisor who cannot, and why."""

    example = {
        "practitioner_id": example_id("practitioner"),
        "reason": "The supervisor of that day has left; both had worked together for years.",
    }

    practitioner_id = serializers.UUIDField(help_text="The practitioner who is to co-sign.")
    reason = TextField(max_length=2000, help_text="Why this person, in own words.")


class CoSignerOutputSerializer(RecordSerializer):
    """Somebody who may co-sign."""

    practitioner_id = serializers.UUIDField(help_text="The practitioner.")
    name = serializers.CharField(help_text="Their name.")
    credential = EnumField(Credential, help_text="Under which credential.")
    reason = serializers.CharField(
        help_text="Why the owner named them in place of a supervisor; empty for a supervisor."
    )


class CoSignatureActOutputSerializer(RecordSerializer):
    """What was done about a co-signature."""

    act = serializers.CharField(
        help_text="`co_signed`; `returned` to the author; `return_taken_back`; `named` by the owner"
        " to co-sign in place of a supervisor who cannot."
    )
    practitioner_id = serializers.UUIDField(help_text="By whom; of `named`: who was named.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    credential = EnumField(Credential, help_text="Under which credential, then.")
    at = serializers.CharField(help_text="When.")
    words = serializers.CharField(
        allow_blank=True, help_text="Own words with it, or why it was done."
    )


class CoSignatureStateOutputSerializer(RecordSerializer):
    """Where the co-signature of a note stands."""

    status = EnumField(
        CoSignatureStatus,
        help_text="`not_required`; `waiting` for the supervisor; `returned` to its author;"
        " `co_signed`; `addendum_since`: added to after it, so it wants another look.",
    )
    text = serializers.CharField(help_text="The same in a sentence, with names.")
    waits_for = CoSignerOutputSerializer(
        many=True, help_text="Who may co-sign it now, the supervisor of that day first."
    )
    nobody = serializers.ListField(
        child=serializers.CharField(),
        help_text="Where nobody can co-sign: why not, person by person; else empty.",
    )
    acts = CoSignatureActOutputSerializer(
        many=True, help_text="Co-signatures, returns, namings, oldest first."
    )


class CoSignatureOutputSerializer(CoSignatureStateOutputSerializer):
    """The same, with why it is required."""

    reasons = ReasonForm(many=True, help_text="Why a co-signature is required.")


class AwaitingCoSignatureOutputSerializer(RecordSerializer):
    """A signed note that waits for a co-signature; no word of the note."""

    id = serializers.UUIDField(help_text="Id of the note.")
    version = serializers.IntegerField(help_text="Its version, for If-Match.")
    session_id = serializers.UUIDField(help_text="The session, where the note is read.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Their name.")
    practitioner_id = serializers.UUIDField(help_text="Whose note it is.")
    practitioner_name = serializers.CharField(help_text="Their name.")
    facility_id = serializers.UUIDField(help_text="Where.")
    facility_name = serializers.CharField(help_text="Its name.")
    local_date = serializers.DateField(help_text="The local day of the session.")
    signed_at = InstantField(help_text="When its author signed.")
    age_hours = serializers.IntegerField(help_text="Whole hours since then, e.g. 50.")
    co_signature = CoSignatureStateOutputSerializer(
        source="co_signature_state", help_text="Where it stands, and who may co-sign."
    )
