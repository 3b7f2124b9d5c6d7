"""A payer's rule of progress notes on the wire."""

from __future__ import annotations

from billing.payers.domain.rules import TREATMENT_DAYS, WARN_CALENDAR_DAYS, WARN_TREATMENT_DAYS
from practice.http.fields import TextField, WholeNumberField
from practice.http.serializers import StrictSerializer


class ProgressNoteRuleSerializer(StrictSerializer):
    """How often the payer asks for a progress note."""

    treatment_days = WholeNumberField(
        required=False,
        default=TREATMENT_DAYS,
        min_value=1,
        max_value=100,
        help_text="By the last of so many treatment days, the first one counted; 10 (the default) "
        "is that of CMS Pub. 100-02 ch. 15 section 220.",
    )
    calendar_days = WholeNumberField(
        required=False,
        default=None,
        allow_null=True,
        min_value=1,
        max_value=366,
        help_text="And by the last of so many calendar days, the first treatment day counted, e.g. "
        "30; null (the default): it does not ask for that.",
    )
    warn_treatment_days = WholeNumberField(
        required=False,
        default=WARN_TREATMENT_DAYS,
        min_value=0,
        max_value=30,
        help_text="Warned of from so many treatment days before it on; 2 by practice policy.",
    )
    warn_calendar_days = WholeNumberField(
        required=False,
        default=WARN_CALENDAR_DAYS,
        min_value=0,
        max_value=60,
        help_text="Warned of from so many calendar days before it on; 7 by practice policy.",
    )
    source = TextField(  # type: ignore[assignment]  # shadows a field's own
        max_length=200,
        help_text="Where it is from, with its date, e.g. `contract of 2026-01-04`.",
    )
