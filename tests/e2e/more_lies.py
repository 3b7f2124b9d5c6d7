"""Wrong answers that the steps on reminders, goals, incidents and the month must see."""

from __future__ import annotations

from typing import Any

MORE_LIES: dict[str, tuple[tuple[str, Any], ...]] = {
    "the reminder of it went by mail, once; it says no more than a visit is due": (
        ("results.0.status", "waiting"),
        ("results.0.channel", "text"),
    ),
    "a treatment goal, with the client's own words and a number that stays": (
        ("number", 2),
        ("words", ""),
        ("status", "met"),
    ),
    "reviewed in the session: not met yet, and why": (
        ("status", "met"),
        ("reviews.0.reason", ""),
    ),
    "a fall is reported; the desk is not shown what happened": (
        ("status", "closed"),
        ("what_happened", "Slipped"),
        ("steps", []),
    ),
    "to be called about it: on the call list, without a word of what it was": (
        ("results.0.text", "A fall."),
        ("results", []),
    ),
    "followed up": (("steps", []), ("what_happened", "")),
    "who was there does not close it": (("code", "forbidden"),),
    "the owner's list of what is open": (("results", []),),
    "closed by the owner; it stays on record": (("status", "open"), ("steps.2.words", "")),
    "what the client would read, in their language, with no clinical word": (
        ("language", "en"),
        ("templates.0.text_places", 161),
    ),
    "sent by itself, once, by mail": (("results.0.status", "waiting"), ("results.0.tries", 2)),
    "sent by itself, once, by text": (("results.0.channel", "mail"), ("results", [])),
    "the link in the mail, without signing in: a button, and no name": (
        ("<button", "<p"),
        ("<button", "Ximena <button"),
    ),
    "pressed: no more mails, of any kind": (("No recibirá más", "No"),),
    "the reply `Stop please.` has ended all texts at once": (
        ("contact_by", "text"),
        ("phones.0.texts", True),
    ),
    "a reply from a number of no client is kept until somebody sees to it": (
        ("results.0.words", ""),
        ("results", []),
    ),
    "it is nobody's, and why": (("settled", "assigned"),),
    "the desk sees that no more mail is wanted": (("results.0.text", ""),),
    "the desk sees that no more text is wanted": (("results.0.client_contact_by", "text"),),
    "the owner's month: licences, law, red flags, notes, incidents, re-checks, hours": (
        ("incidents.happened", 0),
        ("rechecks.due", 0),
        ("practitioner_hours", []),
    ),
    "each figure has its list: the incidents that it counts": (("results", []),),
}
