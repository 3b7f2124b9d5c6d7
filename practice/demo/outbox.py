"""What the demo's messages say: files in place of a mail server and of a provider of texts."""

from __future__ import annotations

import email
import re
from email import policy
from pathlib import Path
from uuid import uuid4

from practice.demo.callers import PREFIX
from practice.demo.telling import StepFailed


def mail_to(messages: Path, address: str) -> str:
    """The subject and the body of the last mail to an address. Raises StepFailed without one."""
    found = ""
    for file in sorted((messages / "mail").glob("*.log")):
        for one in re.split(rb"(?m)^-{70,}\n", file.read_bytes()):
            mail = email.message_from_bytes(one, policy=policy.default)
            if mail["To"] == address:
                found = f"Subject: {mail['Subject']}\n\n{mail.get_content()}"
    if not found:
        raise StepFailed(f"no mail to {address} in {messages / 'mail'}")
    return found


def stop_path(mail: str) -> str:
    """The address below the API that ends such mails."""
    found = re.search(rf"{PREFIX}(/no-more-messages/[0-9a-f]+)", mail)
    if found is None:
        raise StepFailed(f"the mail has no way to end it: {mail}")
    return found[1]


def text_to(messages: Path, number: str) -> str:
    """The last text to a number. Raises StepFailed without one."""
    for file in (messages / "texts" / "out").glob("*.txt"):
        to, _, words = file.read_text(encoding="utf-8").partition("\n")
        if to == number:
            return words.strip()
    raise StepFailed(f"no text to {number} in {messages / 'texts'}")


def put_reply(messages: Path, number: str, words: str) -> None:
    """A reply, as the provider would hand it over; written whole before it is found."""
    folder = messages / "texts" / "in"
    folder.mkdir(parents=True, exist_ok=True)
    draft = folder / f"{uuid4()}.part"
    draft.write_text(f"{number}\n{words}\n", encoding="utf-8")
    draft.rename(draft.with_suffix(".txt"))
