"""The steps of one demo submission, each through the desk's own actions."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from fruitbody.desk.bench.actions.boxes import take_in_box
from fruitbody.desk.bench.actions.counting import count_fruit_bodies
from fruitbody.desk.bench.actions.findings import Typed, write_finding
from fruitbody.desk.bench.actions.lineage import Share, split
from fruitbody.desk.bench.actions.naming import Naming, name_kind, read_second
from fruitbody.desk.bench.actions.preparing import finish_preparation, start_preparation
from fruitbody.desk.bench.actions.receiving import receive as receive_bag
from fruitbody.desk.bench.engine import current_rows, what_fits
from fruitbody.desk.bench.models import Box, Kind
from fruitbody.desk.bench.seen import BoxSeen
from fruitbody.desk.demo.pictures import views_of
from fruitbody.desk.demo.scenario import announcement, bag, findings
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.records.in_force import load
from fruitbody.desk.reports.actions import issue, keep_letter, open_draft
from fruitbody.desk.reports.letter import LetterWords
from fruitbody.desk.submissions.actions import add_photo, ask_finder, post_parcel, submit
from fruitbody.desk.submissions.models import Origin, Submission, View
from fruitbody.desk.submissions.state import facts_of, state_of

Told = Mapping[str, Any]


@dataclass(frozen=True)
class Stage:
    """Who plays: the clinic and its people by user name; the pictures by the scene's name."""

    clinic: Clinic
    staff: Mapping[str, User]
    pictures: Mapping[str, Path]


def announce(stage: Stage, told: Told) -> Submission:
    """The finder's photographs arrive one by one under the form's key, then the form."""
    photos: dict[str, list[int]] = {}
    for kind in told["kind"]:
        for name in views_of(kind["scene"]):
            view = name.rpartition("-")[2]
            photo = add_photo(
                stage.pictures[name].read_bytes(),
                view=view if view in View.values else View.OTHER,
                form_key=f"demo-{told['key']}",
                name=f"{name}.jpg",
            )
            photos.setdefault(kind["label"], []).append(photo.pk)
    origin = Origin.AGENT if "box" in told else Origin.WEB
    return submit(announcement(told, stage.clinic.region, photos), origin=origin)


def post(submission: Submission) -> None:
    """The finder says that the parcel is on its way."""
    post_parcel(submission)


def receive(stage: Stage, submission: Submission, told: Told) -> None:
    """The front desk opens the parcel; an agent's box is taken in once and holds several submissions' bags."""
    front, box = stage.staff["front"], None
    if "box" in told:
        seen = BoxSeen(form_key=f"demo-box-{told['box']}", origin_region=stage.clinic.region, carrier="County courier")
        box = Box.objects.filter(carrier=seen.carrier).first() or take_in_box(seen, clinic=stage.clinic, by=front)
    kinds = {kind.finder_label: kind.pk for kind in submission.kinds.all()}
    receive_bag(submission, bag(told, kinds, stage.clinic.region), clinic=stage.clinic, by=front, box=box)


def examine(stage: Stage, submission: Submission, told: Told) -> None:
    """The bench: what is split off, what is laid, what is seen, what is asked of the finder."""
    bench = stage.staff["bench"]
    kinds = [submission.kinds.order_by("pk").first()]
    if "fruit_bodies" in told["received"]:
        assert kinds[0] is not None
        count_fruit_bodies(kinds[0], str(told["received"]["fruit_bodies"]), by=bench)
    if "split" in told:
        part = Share(note=told["split"]["note"], form_key=f"demo-split-{told['key']}")
        assert kinds[0] is not None
        kinds.append(split(kinds[0], part, clinic=stage.clinic, by=stage.staff["front"]))
    for number, kind in enumerate(kinds):
        assert kind is not None
        for position, entry in enumerate(findings(told, number)):
            key = f"demo-{told['key']}-{number}-{position}"
            write_finding(kind, Typed(fields=entry, form_key=key, last_seen=newest(kind)), by=bench)
    for entry in told.get("preparation", []):
        assert kinds[0] is not None
        laid = start_preparation(kinds[0], what=entry["what"], by=bench, place="Cool room, tray 2")
        if "result" in entry:
            finish_preparation(laid, result=entry["result"], by=bench)
    if "ask" in told:
        ask_finder(submission, words=told["ask"]["words"], by=stage.staff["front"])


def newest(kind: Kind) -> int:
    """The newest finding that a page of this kind would know of."""
    last = kind.findings.order_by("-pk").first()
    return last.pk if last else 0


def conclude(stage: Stage, submission: Submission, told: Told) -> None:
    """The name and, where the scenario goes so far, the report."""
    bench = stage.staff["bench"]
    if "named" not in told:
        return
    kind = submission.kinds.order_by("pk").first()
    assert kind is not None
    named = told["named"]
    taxon = load().taxa[named["taxon"]]
    naming = Naming(
        name=taxon.name,
        form_key=f"demo-name-{told['key']}",
        according_to=taxon.according_to,
        certainty=named["certainty"],
        basis=named["basis"],
        acknowledged=True,
    )
    name_kind(kind, naming, by=bench)
    plan = told.get("report", {})
    if plan.get("second_reading"):
        again = replace(naming, form_key=f"demo-second-{told['key']}", basis=plan["second_reading"])
        read_second(kind, again, by=stage.staff["second"])
    if plan.get("draft"):
        open_draft(submission, by=bench)
    if plan.get("issue"):
        report(stage, submission, read_before=bool(plan.get("second_reading")), words=plan.get("answer"))


def report(stage: Stage, submission: Submission, *, read_before: bool, words: str | None) -> None:
    """A draft with the prefilled words, signed by the diagnostician and mailed."""
    bench = stage.staff["bench"]
    draft = open_draft(submission, by=bench)
    if words:
        keep_letter(draft, LetterWords(answer=words), by=bench)
    reading, why = ("before", "") if read_before else ("waived", "A common kind, plain to see; waived by house rule.")
    issue(draft, by=bench, second_reading=reading, note=why)


def best_fits(kind: Kind) -> Iterator[str]:
    """What the slip at the bench says, in three lines."""
    found = what_fits(load(), kind, current_rows(kind)).found
    yield f"what fits: {found.proposal.name} ({found.proposal.probability:.2f}), compared on {found.used} findings"
    first = [s.plain for s in found.not_excluded if s.listed == "first"]
    yield f"dangerous groups not excluded: {len(first)} listed first, {len(found.not_excluded) - len(first)} folded"
    yield f"look next: {', '.join(load().characters[look.character].plain for look in found.look_next[:3])}"


def where_it_stands(submission: Submission) -> str:
    """The state as its finder reads it."""
    submission.refresh_from_db()
    return state_of(facts_of(submission)).value
