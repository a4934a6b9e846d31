"""What came in, from whom, and what was told of it, as the report gives it; and the letterhead. Reads rows."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils import timezone

from fruitbody.desk.people.models import Clinic as ClinicRow
from fruitbody.desk.people.phones import phone_in_words
from fruitbody.desk.records.in_force import load
from fruitbody.desk.reports.facts import Facts
from fruitbody.desk.reports.formal_of import condition_words
from fruitbody.desk.reports.seen_of import told_rows
from fruitbody.desk.reports.words import ORIGINS, ROLES, in_language
from fruitbody.desk.submissions.models import Eaten
from fruitbody.desk.submissions.models import Party as PartyRow
from fruitbody.report import Clinic, Party, Question
from fruitbody.report import Submission as Came

EATEN_BY: Mapping[str, tuple[str, ...]] = {
    Eaten.PERSON: ("people",),
    Eaten.ANIMAL: ("animals",),
    Eaten.UNSURE: ("people", "animals"),
}
ACCREDITED = "Accredited under ISO/IEC 17025 for naming fungi"


def letterhead(clinic: ClinicRow) -> Clinic:
    lines = (clinic.department, *clinic.address.splitlines())
    return Clinic(
        name=clinic.name,
        address=tuple(line.strip() for line in lines if line.strip()),
        phone=phone_in_words(clinic.phone, clinic.country),
        email=clinic.email,
        accreditation=ACCREDITED if clinic.accredited else "",
    )


def party_line(party: PartyRow, language: str, *, contact: bool = False) -> Party:
    """contact: only the client's own; nobody else's address is passed round with a report."""
    name = ", ".join(part for part in (party.name, party.organisation) if part)
    lines = (*party.address.splitlines(), party.email, phone_in_words(party.phone)) if contact else ()
    shown = tuple(line.strip() for line in lines if line.strip())
    return Party(role=in_language(ROLES, party.role, language), name=name, contact=shown)


def came(facts: Facts) -> Came:
    """The submission as it arrived. Without a parcel the day of the form counts as receipt."""
    submission, bag = facts.submission, facts.bag
    how = ORIGINS.get(submission.origin, submission.origin)
    if bag is None:
        how = f"{how}; photographs only, no parcel came"
    elif bag.box_id:
        how = f"{how}; came by parcel"
    return Came(
        code=submission.code,
        received_at=timezone.localtime(bag.received_at if bag else submission.created_at),
        question=Question(submission.question),
        condition=condition_words(load(), [one.kind for one in facts.kinds]),
        how_it_came=how,
        collected_on=submission.found_on,
        place=", ".join(part for part in (submission.place_words, submission.county, submission.region) if part),
        told=tuple(_told(facts)),
        eaten_by=EATEN_BY.get(submission.eaten, ()),
    )


def _told(facts: Facts) -> list[tuple[str, str]]:
    """The client's own words as (what, words)."""
    funga, submission = load(), facts.submission
    said = [("question", submission.question_note), ("note", submission.note), ("about eating", submission.eaten_note)]
    for one in facts.kinds:
        head = f"“{one.kind.finder_label}”: " if len(facts.kinds) > 1 else ""
        said += [(f"{head}{what}", words) for what, words in told_rows(funga, one.rows)]
        said.append((f"{head}note", one.kind.finder_note))
    return [(what, words.strip()) for what, words in said if words.strip()]
