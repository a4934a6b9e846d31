"""From rows to the content of a report: what is evidence, what is told, what could not be seen, what stands."""

from __future__ import annotations

import json

import pytest
from django.utils import timezone

from fruitbody.desk.bench.models import Determination, Hold, Kind
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.reports.actions import Talk, open_draft, say
from fruitbody.desk.reports.content_of import content_of, plain_content
from fruitbody.desk.reports.facts import standing_names
from fruitbody.desk.submissions.actions import add_photo
from fruitbody.desk.submissions.models import Submission
from fruitbody.report import KindReport, ReportContent, Strip, joined, refusals
from tests.desk.finder import photo_bytes
from tests.desk.reporting import found, named, received, second_read, white_button

pytestmark = pytest.mark.django_db


def told(submission: Submission, by: User) -> ReportContent:
    return content_of(open_draft(submission, by=by), at=timezone.now(), by=by)


def told_kind(kind: Kind, by: User) -> KindReport:
    return told(kind.submission, by).kinds[0]


@pytest.fixture
def button(kind: Kind, diagnostician: User) -> Kind:
    white_button(kind, diagnostician)
    return kind


def test_findings_of_the_clinic_are_evidence_with_unit_and_uncertainty(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    row = next(e for e in told_kind(button, diagnostician).evidence if e.unit)
    assert (row.organ, row.value, row.unit, row.uncertainty, row.letter_mm) == ("cap", "62", "mm", 1.5, (62, 62))


def test_the_finders_words_are_the_clients_and_no_evidence(button: Kind, diagnostician: User) -> None:
    button.finder_note = "They came up overnight."
    button.save()
    named(button, "Agaricus", diagnostician)
    content = told(button.submission, diagnostician)
    assert ("note", "They came up overnight.") in content.submission.told
    assert [row.organ for row in content.kinds[0].evidence if row.organ == "place"] == []


def test_an_absence_on_a_missing_foot_is_told_as_not_seen(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    content = told_kind(button, diagnostician)
    assert [row.organ for row in content.not_seen] == ["base"]
    assert "base" not in {row.organ for row in content.evidence}


def test_what_cannot_be_seen_is_told_with_its_reason(button: Kind, diagnostician: User) -> None:
    found(button, "spore_length", answer="cannot-be-seen", why="no ripe spores", by=diagnostician)
    named(button, "Agaricus", diagnostician)
    assert "no ripe spores" in {row.why for row in told_kind(button, diagnostician).not_seen}


def test_a_corrected_finding_is_told_as_corrected_only(button: Kind, diagnostician: User) -> None:
    old = button.findings.get(character="cap_width", by_role="diagnostician")
    found(button, "cap_width", 66, by=diagnostician, replaces=old)
    named(button, "Agaricus", diagnostician)
    assert [row.value for row in told_kind(button, diagnostician).evidence if row.unit] == ["66"]


def test_a_measure_stands_against_the_range_of_the_taxon_named(button: Kind, diagnostician: User) -> None:
    named(button, "Amanita muscaria", diagnostician)
    (strip,) = told_kind(button, diagnostician).strips
    assert isinstance(strip, Strip)
    assert (strip.found, strip.unit) == ((62.0, 62.0), "mm")
    assert strip.low < strip.high


def test_a_genus_has_no_range_to_stand_against(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    assert told_kind(button, diagnostician).strips == ()


def test_the_sizes_of_page_1_are_the_clinics_own(kind: Kind, diagnostician: User) -> None:
    received(kind, diagnostician)
    found(kind, "cap_width", 90)
    named(kind, "Agaricus", diagnostician)
    assert [row.letter_mm for row in told_kind(kind, diagnostician).evidence] == []


def test_every_group_that_stood_at_naming_is_told(button: Kind, diagnostician: User) -> None:
    name = named(button, "Agaricus", diagnostician)
    whole = told_kind(button, diagnostician)
    words = " ".join([*(group.group for group in whole.not_excluded), *whole.also_not_excluded])
    assert len(name.not_excluded) > 10
    assert [g["plain"] for g in name.not_excluded if g["plain"] not in words] == []


def test_a_group_that_came_back_since_is_told_too(button: Kind, diagnostician: User) -> None:
    name = named(button, "Agaricus", diagnostician)
    Determination.objects.filter(pk=name.pk).update(not_excluded=[])
    whole = told_kind(button, diagnostician)
    words = " ".join([*(group.group for group in whole.not_excluded), *whole.also_not_excluded])
    assert "death cap and destroying angels" in words


def test_groups_of_the_kind_named_are_told_by_what_they_do(button: Kind, diagnostician: User) -> None:
    named(button, "Amanita muscaria", diagnostician)
    groups = told_kind(button, diagnostician).not_excluded
    (own,) = [g for g in groups if "fly agaric and panther kinds" in g.group]
    assert own.syndrome == "drowsiness in turn with agitation, cramps"


def test_at_most_four_photos_are_shown_one_of_each_view_first(button: Kind, diagnostician: User) -> None:
    for number, view in enumerate(("top", "top", "cut", "label")):
        add_photo(photo_bytes(f"#{number}0a0b0"), view=view, submission=button.submission, kind=button)
    named(button, "Agaricus", diagnostician)
    photos = told_kind(button, diagnostician).photos
    assert [p.view for p in photos] == ["From above", "From the side", "Cut in half", "From above"]
    assert photos[0].alt == f"Photograph of {button.clinic_number}, from above, sent by the finder."


def test_the_last_own_name_counts_and_no_second_reading(button: Kind, diagnostician: User, second_reader: User) -> None:
    named(button, "Agaricus", diagnostician)
    last = named(button, "Agaricus campestris", diagnostician)
    second_read(button, "Amanita", second_reader)
    assert standing_names(button.submission) == {button: last}


def test_a_merged_kind_is_not_told(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    Kind.objects.create(
        submission=button.submission, finder_label="B", merged_into=button, created_at=button.created_at
    )
    assert len(told(button.submission, diagnostician).kinds) == 1


def test_vernacular_names_stand_beside_an_unqualified_name_only(button: Kind, diagnostician: User) -> None:
    named(button, "Amanita muscaria", diagnostician, qualifier="cf.")
    assert told_kind(button, diagnostician).vernacular == ""


def test_every_taxon_of_the_funga_can_be_reported_as_it_stands(button: Kind, diagnostician: User) -> None:
    from fruitbody.funga import load

    refused = {}
    for taxon in load().taxa.values():
        name = named(button, taxon.name, diagnostician)
        sentences = refusals(told(button.submission, diagnostician))
        if sentences:
            refused[taxon.name] = sentences
        Determination.objects.filter(pk=name.pk).delete()
    assert refused == {}


def test_only_the_clients_own_address_is_printed(button: Kind, diagnostician: User) -> None:
    submission = button.submission
    submission.parties.create(role="client", name="Larch Meadow Camp", email="camp@example.org")
    named(button, "Agaricus", diagnostician)
    content = told(submission, diagnostician)
    assert content.client.contact == ("camp@example.org",)
    assert [(p.name, p.contact) for p in content.recipients] == [("Wren Hollis", ())]


def test_an_accredited_clinic_says_so_and_another_does_not(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    assert told(button.submission, diagnostician).clinic.accreditation == ""
    Clinic.objects.update(accredited=True)
    assert "17025" in told(button.submission, diagnostician).clinic.accreditation


def test_a_case_of_photographs_only_says_so(kind: Kind, diagnostician: User) -> None:
    kind.material = "photo-only"
    kind.save()
    named(kind, "Agaricus", diagnostician)
    content = told(kind.submission, diagnostician)
    assert "photographs only" in content.submission.how_it_came
    assert content.kinds[0].clinic_number == "K7WM-9PQT A"
    assert "a photograph only" in content.submission.condition
    assert content.formal.deviations != ()


def test_a_talk_that_reached_somebody_is_told_and_a_try_is_not(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    say(button.submission, Talk(to_name="Wren Hollis", words="Rang out.", reached=False), by=diagnostician)
    assert told(button.submission, diagnostician).call is None
    say(button.submission, Talk(to_name="Wren Hollis", words="Told the name.", reached=True), by=diagnostician)
    call = told(button.submission, diagnostician).call
    assert call is not None
    assert (call.to, call.by) == ("Wren Hollis", "Rosa Exemplar")


def test_a_controlled_hold_brings_its_caution(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    Hold.objects.create(
        submission=button.submission, kind=button, reason="controlled", words="by counsel", placed_by=diagnostician,
        placed_at=timezone.now(),
    )  # fmt: skip
    assert told_kind(button, diagnostician).controlled


def test_aff_says_in_what_it_differs_as_an_opinion(button: Kind, diagnostician: User) -> None:
    named(button, "Amanita muscaria", diagnostician, qualifier="aff.", basis="The warts are grey.")
    kind = told_kind(button, diagnostician)
    assert joined(kind.name) == "Amanita aff. muscaria"
    assert kind.opinions[0].text == "The warts are grey."


def test_the_content_becomes_json_with_pictures_by_digest(button: Kind, diagnostician: User) -> None:
    named(button, "Agaricus", diagnostician)
    plain = plain_content(told(button.submission, diagnostician))
    assert json.loads(json.dumps(plain)) == plain
    assert {len(photo["image"]) for photo in plain["kinds"][0]["photos"]} == {64}


def test_a_spanish_case_is_answered_in_spanish(button: Kind, diagnostician: User) -> None:
    Submission.objects.filter(pk=button.submission_id).update(language="es")
    named(Kind.objects.get(pk=button.pk), "Agaricus", diagnostician)
    content = told(Submission.objects.get(pk=button.submission_id), diagnostician)
    assert content.answer == "«A» es Agaricus sp., nombrado hasta el género."
    assert "liver" not in " ".join(g.syndrome for g in content.kinds[0].not_excluded)


def test_what_a_kind_is_and_means_is_told_in_the_letters_language(button: Kind, diagnostician: User) -> None:
    named(button, "Chlorophyllum molybdites", diagnostician)
    english = told_kind(button, diagnostician)
    assert english.what.startswith("A large white mushroom of lawns")
    assert "violent and long vomiting" in english.means.people
    Submission.objects.filter(pk=button.submission_id).update(language="es")
    button.submission.refresh_from_db()
    spanish = told_kind(button, diagnostician)
    assert spanish.what.startswith("Seta blanca grande de los céspedes")
    assert "vómitos y diarrea" in spanish.means.people


def test_a_genus_brings_the_dangerous_groups_that_have_kinds_in_it(button: Kind, diagnostician: User) -> None:
    found(button, "deposit_colour", "white", by=diagnostician)
    named(button, "Amanita", diagnostician)
    groups = told_kind(button, diagnostician).not_excluded
    (own,) = [g for g in groups if "death cap and destroying angels" in g.group]
    assert own.syndrome == "liver failure after a delay"
