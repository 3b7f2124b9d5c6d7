"""Text messages: a small interface, and files in place of a provider.

A practice names its provider in ``TEXT_PROVIDER``: the dotted path of a class of this shape.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, cast

from django.conf import settings
from django.utils.module_loading import import_string


@dataclass(frozen=True)
class TextReply:
    """What came in from a number (E.164); ``key``: the provider's own id of it."""

    key: str
    number: str
    words: str


class TextProvider(Protocol):
    """Who carries text messages."""

    def send(self, number: str, text: str, message_id: str) -> None:
        """Hand a text over; the same ``message_id`` twice is one text, where the provider knows
        that. Raises ``AddressRefused`` for a number that takes none, another error to be asked
        again."""

    def replies(self) -> Iterable[TextReply]:
        """What came in and was not confirmed yet."""

    def confirm(self, reply: TextReply) -> None:
        """It is kept: it need not come again."""


class FileTexts:
    """Texts as files under ``var/texts/``: ``out/<id>.txt``; replies are put into ``in/``, the
    number in the first line, the words below it."""

    def __init__(self) -> None:
        self.folder = Path(settings.TEXT_FILE_PATH)

    def send(self, number: str, text: str, message_id: str) -> None:
        """The same id is the same file."""
        folder = self.folder / "out"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{message_id}.txt").write_text(f"{number}\n{text}\n", encoding="utf-8")

    def replies(self) -> Iterable[TextReply]:
        """Those in the folder, the oldest name first."""
        for file in sorted((self.folder / "in").glob("*.txt")):
            number, _, words = file.read_text(encoding="utf-8").partition("\n")
            yield TextReply(file.stem, number.strip(), words.strip())

    def confirm(self, reply: TextReply) -> None:
        """Take it out of the folder."""
        (self.folder / "in" / f"{reply.key}.txt").unlink(missing_ok=True)


def text_provider() -> TextProvider:
    """The provider of this practice."""
    return cast("TextProvider", import_string(settings.TEXT_PROVIDER)())
