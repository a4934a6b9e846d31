"""Story 4, the button without a foot: white, cut above ground, in cling film, "field mushroom, can I eat it?"."""

from __future__ import annotations

import re

import pytest
from django.test import Client
from pypdf import PdfReader

from fruitbody.desk.bench.engine import current_rows, what_fits
from fruitbody.desk.bench.models import Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.reports.actions import issue, open_draft
from fruitbody.desk.submissions.models import Question, Submission
from fruitbody.funga import load
from tests.desk.bench_case import received, typed
from tests.desk.conftest import signed_in

SEEN = (
    "form cap and stem", "stage button", "cap colour white", "cap width 34", "hymenium gills", "gill attachment free",
    "gill colour white", "volva none",
)  # fmt: skip


@pytest.fixture
def button(submission: Submission, diagnostician: User) -> Kind:
    submission.question = Question.EATING
    submission.note = "a field mushroom"
    submission.save()
    kind = received(submission, diagnostician, conditions=("cut-above-ground", "cling-film"))
    for text in SEEN:
        assert typed(signed_in(diagnostician), kind, text).status_code == 200
    return kind


def test_no_sac_seen_on_a_cut_stem_is_set_aside(at_bench: Client, button: Kind) -> None:
    page = " ".join(at_bench.get(f"/staff/bench/{button.pk}/").content.decode().split())
    assert re.search(r"What wraps the foot of the stem, “none”: base missing[^<]*cannot be seen", page)
    assert 'class="note aside"' in page


def test_death_caps_stand_among_the_first(at_bench: Client, button: Kind) -> None:
    found = what_fits(load(), button, current_rows(button)).found
    group = next(s for s in found.not_excluded if s.group == "amanita-phalloideae")
    assert group.listed == "first"
    page = at_bench.get(f"/staff/bench/{button.pk}/").content.decode()
    near = page.split('id="standing-head"')[1].split("<details")[0]
    assert "Death cap and destroying angels" in near


def test_the_proposal_goes_no_further_than_two_genera(button: Kind) -> None:
    proposal = what_fits(load(), button, current_rows(button)).found.proposal
    assert proposal.rank in ("one of two genera", "family", "form")


def test_nothing_is_excluded(button: Kind) -> None:
    assert what_fits(load(), button, current_rows(button)).found.excluded == ()


def test_what_fits_stays_folded_with_a_deadly_group_near_the_top(button: Kind, diagnostician: User) -> None:
    diagnostician.folds_ranking = False
    diagnostician.save()
    page = signed_in(diagnostician).get(f"/staff/bench/{button.pk}/").content.decode()
    assert "A dangerous group is near the top" in page


def test_no_public_page_hints_how_to_tell(button: Kind, at_bench: Client, client: Client) -> None:
    at_bench.post(
        f"/staff/bench/{button.pk}/name/",
        {"name": "Agaricus or Amanita", "rank": "one of two genera", "certainty": "open", "acknowledged": "on",
         "form_key": "n"},
    )  # fmt: skip
    assert button.determinations.get().name == "Agaricus or Amanita"
    page = client.get(f"/follow/{button.submission.token}/").content.decode()
    for hint in ("volva", "sac", "Agaricus", "Amanita", "death cap", "spore print"):
        assert hint not in page


def test_the_report_does_not_answer_and_then_says_what_could_not_be_excluded(
    button: Kind, at_bench: Client, diagnostician: User
) -> None:
    at_bench.post(
        f"/staff/bench/{button.pk}/name/",
        {"name": "Agaricus or Amanita", "rank": "one of two genera", "certainty": "open", "acknowledged": "on",
         "form_key": "n"},
    )  # fmt: skip
    draft = open_draft(button.submission, by=diagnostician)
    report = issue(draft, by=diagnostician, second_reading="waived", note="the foot is missing, so it stays open")
    with report.pdf.open("rb") as file:
        text = " ".join(" ".join(page.extract_text() for page in PdfReader(file).pages).split())
    first = text.index("We do not answer whether it can be eaten.")
    second = text.index("We could not exclude:")
    assert first < second
    assert "death cap and destroying angels" in text[second : second + 400]
    assert text[first:second].count(". ") == 1
