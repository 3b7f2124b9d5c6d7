"""What is measured, read from what was sent by the forms of its own addresses."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from rest_framework.exceptions import ValidationError

from practice.core.reasons import Rejected
from practice.http.problems import flattened
from practice.http.serializers import StrictSerializer
from sessions.measurements.hooks import SentMeasurement
from sessions.measurements.serializers.body import CircumferencesInputSerializer
from sessions.measurements.serializers.readings import ReadingInputSerializer


def _reader(form: type[StrictSerializer]) -> Callable[[Mapping[str, Any]], dict[str, Any]]:
    def read(sent: Mapping[str, Any]) -> dict[str, Any]:
        try:
            return dict(form.read(sent))
        except ValidationError as wrong:
            fields = dict(flattened(wrong.detail))
            text = " ".join(f"{field}: {one}" for field, one in fields.items())
            raise Rejected("invalid", text, status=400, fields=fields) from None

    return read


SENT_READING = SentMeasurement("readings", _reader(ReadingInputSerializer))
SENT_CIRCUMFERENCES = SentMeasurement("circumferences", _reader(CircumferencesInputSerializer))
