"""What the OpenAPI description says in front: of all operations, and of each group of them, in
the order of a day's work."""

from __future__ import annotations

from typing import Final

ABOUT: Final = """\
The record, calendar and ledger of a practice that works hands-on with people recovering from
cancer surgery.

- **Who asks**: `Authorization: Bearer …` with the token of a sign-in. Each operation says for whom
  it is; what a role may not see is 404, or left out.
- **Problems** are `application/problem+json` (RFC 9457): `code` is stable, `errors` name fields,
  `reasons` name rules with their sources.
- **Bodies** are `application/json` in UTF-8, else 415; what `Accept` asks for is given, else 406.
  Every body has an example that goes through; its ids stand for those of your own records.
- **Repeats**: `Idempotency-Key` gives the same answer to the same request, and does nothing twice.
- **Versions**: the `ETag` of an answer goes into `If-Match`, so that a change of what has moved on
  is 412. A read with that tag in `If-None-Match` is 304 where nothing shown has changed; it counts,
  and is logged, as a read.
- **Caches**: answers that may name a client are `no-store`; keep them in memory at most, and ask
  with `If-None-Match`. The practice's own tables are `private, no-cache`. Longer answers are sent
  with gzip where `Accept-Encoding` takes it.
"""
_TEXTS: Final = (
    ("access", "Sign in and out, and who one is."),
    ("clients", "Register and find clients; what may be done with one, today and by whom."),
    ("health history", "What clients report of their health, and a practitioner's review of it."),
    ("consent", "Touch consent, refusal and withdrawal; whom a client prefers, and exceptions."),
    ("orders", "Clearances and restrictions by surgeons and physicians."),
    ("papers", "What is waited for: asked of whom, sent, answered, and what it holds up."),
    ("sessions", "Open times, booking, arrival, plan, split, stop; load and heart rate."),
    ("absences", "Not in today: absences, closures, holidays; whom they leave, moved in one act."),
    (
        "range of motion",
        "Readings in degrees, goals, posture and circumferences; entries in error; the chart.",
    ),
    ("stretches", "What is prescribed, discharged and brought back; home exercises."),
    ("notes", "The session note: saves from any device, signature, addenda."),
    ("treatment goals", "What the client wants to reach, reviewed; home exercise followed or not."),
    ("incidents", "Safety incidents: reported, who was told, followed up, closed; in no note."),
    ("re-checks", "Who is to be measured again and when: the front desk's call list."),
    ("calls", "Whom to call and why, and what came of each call."),
    ("reminders", "What clients and staff are reminded of, and what clients would read."),
    ("authorizations", "What payers authorized, what is left of it, and the visit summaries."),
    ("visits", "Treatment days with units and what is not covered; what a person decides."),
    ("progress notes", "That payers' progress notes were written, and which are due when."),
    ("billing", "Payers with their rules, and service codes."),
    ("history", "A client's record event by event, and as it was known on an earlier day."),
    ("owner", "Who read what, work outside its permission, the log's checks, erasure."),
    ("people", "Practitioners with licences, sign-offs and supervision."),
    ("staff", "Accounts with their roles: opened for a hire, ended for a leaver."),
    ("places", "Facilities with their hours, rules and rooms."),
    ("stretch catalogue", "The stretches that can be prescribed, with where they touch and pull."),
    ("practice", "Settings with their citations and history, and limits by jurisdiction."),
    ("health", "Whether the program runs and has what it needs. Nothing of any client."),
)
TAGS: Final = [{"name": name, "description": text} for name, text in _TEXTS]
