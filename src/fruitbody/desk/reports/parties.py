"""To whom a report goes, and who has a version already. Pure over rows."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.models import Message, Party

GETS_IT = (Party.Role.SUBMITTER, Party.Role.CLIENT, Party.Role.RECIPIENT)
"""Who pays does not by that get to read it."""


@dataclass(frozen=True, slots=True)
class Addressee:
    """party: somebody the report goes to; is_finder: whose private link leads to *Follow my parcel*."""

    party: Party
    is_finder: bool


@dataclass(frozen=True, slots=True)
class Received:
    """Somebody who was told a version: how, in words, and when (None: not yet)."""

    name: str
    way: str
    at: datetime | None


def addressees(parties: Sequence[Party]) -> list[Addressee]:
    """Submitter, client and recipients; one letter to each address."""
    seen: set[str] = set()
    found = []
    for role in GETS_IT:
        for party in (p for p in parties if p.role == role):
            key = party.email.casefold() or f"{party.name} {party.address}"
            if key not in seen:
                seen.add(key)
                found.append(Addressee(party, role == Party.Role.SUBMITTER))
    return found


def client_of(parties: Iterable[Party]) -> Party | None:
    """Whose problem it is: the client, else the submitter."""
    by_role = {party.role: party for party in reversed(list(parties))}
    return by_role.get(Party.Role.CLIENT) or by_role.get(Party.Role.SUBMITTER)


def who_received(report: ReportVersion) -> list[Received]:
    """Everybody to whom this version was written or spoken of, the letters first."""
    ways = {
        Message.State.SENT: "letter by e-mail",
        Message.State.OUTBOX: "letter in the outbox",
        Message.State.FAILED: "letter that could not be sent",
        Message.State.WAITING: "letter that waits to be sent",
    }
    letters = [Received(m.to_name or m.to_email, ways.get(Message.State(m.state), m.state), m.done_at)
               for m in report.messages.all()]  # fmt: skip
    talks = [Received(s.to_name, "by telephone", s.at) for s in report.spoken.all() if s.reached]
    return letters + talks
