"""Changes of names: taken over from a checklist as proposals, then accepted or declined by a person, one by one.

What was written before a change is never touched: determinations and issued reports keep the name they bear.
"""

from __future__ import annotations

import hashlib

from django.db import transaction
from django.utils import timezone

from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions.history import write_history
from fruitbody.desk.records.in_force import forget, load
from fruitbody.desk.records.models import NameChange
from fruitbody.funga.checklist import parse_checklist
from fruitbody.funga.nomenclature import proposals


class NameChangeError(ValueError):
    """A decision that cannot be taken; the sentence says why and what to do."""


@transaction.atomic
def take_over(file: str, content: bytes, *, by: User) -> list[NameChange]:
    """Propose what a checklist says otherwise than we do. What was proposed or declined before is not proposed again.

    Raises FungaError with file and row where the checklist cannot be read; then nothing is proposed.
    """
    ensure(by, Act.CHANGE_NAMES)
    found = proposals(load(), parse_checklist(file, content), source=file)
    known = {(row.taxon, row.kind, tuple(row.names)) for row in NameChange.objects.all()}
    now, digest = timezone.now(), hashlib.sha256(content).hexdigest()
    rows = [
        NameChange.objects.create(
            taxon=change.taxon,
            kind=change.kind.value,
            old=change.old,
            names=list(change.names),
            authority=change.authority,
            family=change.family,
            according_to=change.according_to[:300],
            words=change.words,
            source=file[:200],
            sha256=digest,
            proposed_at=now,
            proposed_by=by,
        )
        for change in found
        if (change.taxon, change.kind.value, change.names) not in known
    ]
    if rows:
        words = f"From {file}: {rows[0].words}" if len(rows) == 1 else f"{len(rows)} changes of names come from {file}."
        write_history(by=by, action="proposed", words=words, subject=rows[0], data={"file": file, "sha256": digest})
    return rows


@transaction.atomic
def decide(change: NameChange, *, accept: bool, why: str, by: User) -> NameChange:
    """Accept or decline one proposed change. Raises NameChangeError where it is decided, or was overtaken."""
    ensure(by, Act.CHANGE_NAMES)
    row = NameChange.objects.select_for_update().get(pk=change.pk)
    if row.state != NameChange.State.PROPOSED:
        raise NameChangeError(f"This was {row.get_state_display()} already. Look at the list again.")
    if not accept and not why.strip():
        raise NameChangeError("Say in a few words why it is declined; whoever asks next year will want to know.")
    if accept and _overtaken(row):
        raise NameChangeError("Its name has changed since. Decline this and take the checklist over again.")
    row.state = NameChange.State.ACCEPTED if accept else NameChange.State.DECLINED
    row.decided_at, row.decided_by, row.why = timezone.now(), by, why.strip()[:300]
    row.save(update_fields=["state", "decided_at", "decided_by", "why"])
    forget()
    words = f"{row.words} {'Accepted' if accept else 'Declined'}{': ' + row.why if row.why else ''}."
    write_history(by=by, action=row.state, words=words, subject=row)
    return row


def _overtaken(row: NameChange) -> bool:
    taxon = load().taxa.get(row.taxon)
    return taxon is None or taxon.name != row.old
