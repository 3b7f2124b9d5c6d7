"""A system check: what lies outside the database is closed to other users of the machine."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage
from django.core.checks import Warning as CheckWarning

from practice.env import files_open_to_others


def check_files(app_configs: Any = None, **_: Any) -> list[CheckMessage]:
    """Files and folders of ``PRACTICE_VAR`` that could not be closed at the start."""
    return [
        CheckWarning(
            f"{path} is open to other users of this machine.",
            hint=f"chmod go= {path}",
            id="practice.W001",
        )
        for path in files_open_to_others(settings.VAR)
    ]
