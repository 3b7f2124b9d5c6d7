"""The groups of the OpenAPI description, in the order of a day's work."""

from __future__ import annotations

from typing import Final

_TEXTS: Final = (
    ("access", "Sign in and out, and who one is."),
    ("clients", "Register and find clients; what may be done with one, today and by whom."),
    ("health history", "What clients report of their health, and a practitioner's review of it."),
    ("consent", "Touch consent, refusal and withdrawal; whom a client prefers, and exceptions."),
    ("orders", "Clearances and restrictions by surgeons and physicians."),
    ("sessions", "Open times, booking, arrival, plan, split, stop; load and heart rate."),
    (
        "range of motion",
        "Readings in degrees, goals, posture and circumferences; entries in error; the chart.",
    ),
    ("stretches", "What is prescribed, discharged and brought back; home exercises."),
    ("notes", "The session note: saves from any device, signature, addenda."),
    ("re-checks", "Who is to be measured again and when: the front desk's call list."),
    ("authorizations", "What payers authorized, what is left of it, and the visit summaries."),
    ("visits", "Treatment days with units and what is not covered; what a person decides."),
    ("billing", "Payers with their rules, and service codes."),
    ("history", "A client's record event by event, and as it was known on an earlier day."),
    ("owner", "Who read what, work outside its permission, the log's checks, erasure."),
    ("people", "Practitioners with licences, sign-offs and supervision."),
    ("staff", "Accounts and their roles."),
    ("places", "Facilities with their hours, rules and rooms."),
    ("stretch catalogue", "The stretches that can be prescribed, with where they touch and pull."),
    ("practice", "Settings with their citations and history, and limits by jurisdiction."),
    ("health", "Whether the program runs and has what it needs. Nothing of any client."),
)
TAGS: Final = [{"name": name, "description": text} for name, text in _TEXTS]
