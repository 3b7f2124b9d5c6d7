"""Progress notes and the periods that wait for one, on the wire."""

from __future__ import annotations

from rest_framework import serializers

from billing.authorizations.domain.terms import Discipline
from billing.progress_notes.domain.decisions import ProgressNoteInError, RecordProgressNote
from billing.progress_notes.domain.terms import KeptAs, PeriodStatus
from practice.core.terms import Credential
from practice.http.fields import DayField, EnumField, InstantField, TextField
from practice.http.serializers import RecordSerializer, StrictSerializer


class ProgressNoteInputSerializer(StrictSerializer):
    """A progress note that was written."""

    command = RecordProgressNote
    example = {
        "covers_until": "2026-03-09",
        "kept_as": "paper",
        "kept_where": "the client's folder in the office",
    }

    covers_until = DayField(
        help_text="Last treatment day of its period, e.g. `2026-03-09`: the day that the clinician "
        "chose, at the latest the one by which the payer asks for it. The next treatment day "
        "begins the next period."
    )
    written_on = DayField(required=False, help_text="When it was written, `2026-03-09`; today.")
    kept_as = EnumField(KeptAs, help_text="Where the note itself is: `paper` or `other`.")
    kept_where = TextField(
        max_length=200,
        required=False,
        allow_blank=True,
        help_text="Where it is found, e.g. `the client's folder in the office`.",
    )


class ProgressNoteInErrorInputSerializer(StrictSerializer):
    """There was no such note."""

    command = ProgressNoteInError
    example = {"reason": "it was the other client's"}

    reason = TextField(max_length=400, help_text="Why, e.g. `it was the other client's`.")


class ProgressNoteOutputSerializer(RecordSerializer):
    """A progress note on record."""

    id = serializers.UUIDField(help_text="Id of the note.")
    client_id = serializers.UUIDField(help_text="Whose treatment it is about.")
    discipline = EnumField(Discipline, help_text="Of which discipline: that of its author.")
    written_on = serializers.DateField(help_text="When it was written.")
    covers_until = serializers.DateField(help_text="Last treatment day of its period.")
    author_id = serializers.UUIDField(help_text="The practitioner who wrote it.")
    author_name = serializers.CharField(help_text="Their name.")
    credential = EnumField(Credential, help_text="Under which credential.")
    kept_as = serializers.CharField(
        help_text="`paper` or `other`; empty once the record was erased."
    )
    kept_where = serializers.CharField(help_text="Where it is found; may be empty.")
    in_error = serializers.CharField(help_text="Why there was none; empty where it stands.")
    recorded_at = InstantField(allow_null=True, help_text="When it was recorded.")
    version = serializers.IntegerField(help_text="Version of the record with its last change.")


class ProgressNoteDueOutputSerializer(RecordSerializer):
    """A client's treatment days in one discipline that no progress note covers, and when the
    payer asks for one."""

    id = serializers.UUIDField(help_text="Id of the client's periods in this discipline.")
    client_id = serializers.UUIDField(help_text="The client.")
    client_name = serializers.CharField(help_text="Their name.")
    discipline = EnumField(Discipline, help_text="E.g. `physical_therapy`.")
    payer_id = serializers.UUIDField(help_text="The payer that asks first.")
    payer_name = serializers.CharField(help_text="Its name.")
    source = serializers.CharField(help_text="Where the payer says so.")  # type: ignore[assignment]  # shadows a field's own
    status = EnumField(PeriodStatus, help_text="`running`, `coming`, `due` or `overdue`.")
    begins_on = serializers.DateField(help_text="First treatment day of the period.")
    treatment_days = serializers.ListField(
        child=serializers.DateField(), help_text="Its treatment days so far, in order."
    )
    days_left = serializers.IntegerField(
        help_text="Treatment days until the one by which it is due, e.g. 2; 0 once that is over."
    )
    due_on = serializers.DateField(
        allow_null=True,
        help_text="The day by which it is due; null while the treatment day is not known yet.",
    )
