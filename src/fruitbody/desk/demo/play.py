"""Plays the scenario: founds the clinic, lets every submission come as far as it says, carries one to its report."""

from __future__ import annotations

import shutil
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from django.conf import settings
from django.urls import reverse

from fruitbody.desk.demo import stages
from fruitbody.desk.demo.clock import hours_ago
from fruitbody.desk.demo.pictures import draw_all, views_of
from fruitbody.desk.demo.scenario import read
from fruitbody.desk.demo.stages import Stage
from fruitbody.desk.people.actions import add_staff, found_clinic
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.submissions.models import Submission

PASSWORD = "seven ruled pages"
PLAYED = "played"
"""This file in the data folder says that the demo was played to its end."""
MAIN = Path(__file__).with_name("parasol")
"""The bundled submission of the main job: photographs and findings as files."""


def tell(words: str) -> None:
    """One line of progress, at once."""
    print(words, flush=True)


def found(told: Mapping[str, Any], *, password: str = PASSWORD) -> tuple[Clinic, dict[str, User]]:
    """The clinic and its people."""
    clinic = found_clinic(told["clinic"])
    staff = {
        person["username"]: add_staff({**person, "email": f"{person['username']}@example.org"}, password=password)
        for person in told["staff"]
    }
    return clinic, staff


def play(out: Path) -> None:
    """Everything that `make demo` does before it serves. Tells each step as it goes; played once, it stays."""
    started = time.monotonic()
    told = read()
    if Clinic.objects.exists():
        tell(f"The demo was played already; its data lie in {settings.DATA}. Delete that folder to play it anew.")
        tell_doors({user.username: user for user in User.objects.order_by("pk")})
        return
    names = [n for s in told["submission"] for k in s["kind"] for n in views_of(k["scene"])]
    tell(f"1. {len(names)} photographs are drawn, with coins and rulers of known size beside the mushrooms.")
    pictures = draw_all(names, settings.DATA / "demo-pictures", tell)
    tell("2. An invented clinic is founded, with four people.")
    clinic, staff = found(told)
    stage = Stage(clinic, staff, pictures)
    tell(f"3. {len(told['submission'])} submissions come in, each as far as it got.")
    for entry in told["submission"]:
        submission = play_one(stage, entry)
        tell(f"  {submission.code}  {entry['key']}: {stages.where_it_stands(submission)}")
    pdf = main_job(stage, out)
    tell(f"Done in {time.monotonic() - started:.0f} s. The report: {pdf}")
    (settings.DATA / PLAYED).touch()
    tell_doors(staff)


def play_one(stage: Stage, entry: Mapping[str, Any]) -> Submission:
    """One submission of the scenario, from the finder's form to wherever it stands, at the hours it says."""
    with hours_ago(entry["hours_ago"]):
        submission = stages.announce(stage, entry)
    if entry.get("posted"):
        with hours_ago(max(entry["hours_ago"] - 6, 0)):
            stages.post(submission)
    if "received" in entry:
        came = entry["received"]["hours_ago"]
        with hours_ago(came):
            stages.receive(stage, submission, entry)
        with hours_ago(max(came - 1, 0.5)):
            stages.examine(stage, submission, entry)
        with hours_ago(max(came - 2, 0.2)):
            stages.conclude(stage, submission, entry)
    return submission


def main_job(stage: Stage, out: Path) -> Path:
    """The bundled submission through the whole desk, step by step, on its real input."""
    tell("4. One submission goes the whole way, from its photographs and findings as files:")
    told = read(MAIN / "submission.toml")
    pictures = {path.stem: path for path in sorted(MAIN.glob("*.jpg"))}
    own = Stage(stage.clinic, stage.staff, {**stage.pictures, **pictures})
    entry = told["submission"][0]
    submission = stages.announce(own, entry)
    tell(f"   announced: {submission.code}, “{entry['question_note']}”, {submission.photos.count()} photographs")
    stages.post(submission)
    stages.receive(own, submission, entry)
    kind = submission.kinds.get()
    tell(f"   received: {kind.clinic_number} under the finder's label “{kind.finder_label}”")
    stages.examine(own, submission, entry)
    tell(f"   examined: {kind.findings.count()} findings on record")
    for line in stages.best_fits(kind):
        tell(f"   {line}")
    stages.conclude(own, submission, entry)
    report = submission.reports.latest("version")
    out.mkdir(parents=True, exist_ok=True)
    pdf = out / f"report-{submission.code}-v{report.version}.pdf"
    with report.pdf.open("rb") as stored, pdf.open("wb") as target:
        shutil.copyfileobj(stored, target)
    tell(f"   named: {kind.determinations.latest('id')}, by {report.issued_by.full_name if report.issued_by else ''}")
    tell(f"   reported: version {report.version}, {pdf.stat().st_size // 1024} kB, sha256 {report.sha256[:16]}...")
    for letter in submission.messages.order_by("id"):
        tell(f"   letter to {letter.to_email}: “{letter.subject}” ({letter.get_state_display().lower()})")
    return pdf


def tell_doors(staff: Mapping[str, User]) -> None:
    """Where to go and who may sign in."""
    tell(f"\nThe public's door:   {settings.ADDRESS}/")
    tell(f"The staff's door:    {settings.ADDRESS}{reverse('people:staff_home')}")
    for user in staff.values():
        tell(f"   {user.username:8} {user.full_name}, {user.get_role_display().lower()}")
    tell(f"   password of all four: {PASSWORD}")
    tell(f"Letters lie in {settings.DATA / 'outbox'}.")
