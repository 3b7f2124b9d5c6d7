"""Answers that are no JSON: pages, pictures, tables. Their problems stay JSON."""

from __future__ import annotations

from typing import Any

from rest_framework.renderers import BaseRenderer, JSONRenderer


class FileRenderer(BaseRenderer):
    """Names a media type, so that ``Accept`` is honoured; the view makes the bytes itself."""

    charset = None

    def render(
        self, data: Any, accepted_media_type: str | None = None, renderer_context: Any = None
    ) -> Any:
        """Only problem documents come here."""
        return JSONRenderer().render(data)


class HtmlRenderer(FileRenderer):
    """A page."""

    media_type = "text/html"
    format = "html"


class CsvRenderer(FileRenderer):
    """A table as CSV."""

    media_type = "text/csv"
    format = "csv"


class SvgRenderer(FileRenderer):
    """A picture as SVG."""

    media_type = "image/svg+xml"
    format = "svg"


class PngRenderer(FileRenderer):
    """A picture as PNG."""

    media_type = "image/png"
    format = "png"


class CalendarRenderer(FileRenderer):
    """Sessions as iCalendar (RFC 5545)."""

    media_type = "text/calendar"
    format = "ics"
