"""Names: a checklist proposes, a person decides, and nothing that was written before changes."""

from __future__ import annotations

from pathlib import Path

import pytest
from django.core.exceptions import PermissionDenied
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from fruitbody import funga
from fruitbody.desk.bench.models import Determination, Kind
from fruitbody.desk.people.models import User
from fruitbody.desk.records.actions.naming import NameChangeError, decide, take_over
from fruitbody.desk.records.in_force import load
from fruitbody.desk.records.models import HistoryEntry, NameChange
from fruitbody.desk.submissions.models import Submission
from fruitbody.funga import FungaError
from tests.desk.reporting import begun, issued

HEAD = "scientificName,taxonomicStatus,acceptedNameUsage,family\n"
RENAMED = HEAD + "Kuehneromyces mutabilis,synonym,Pholiota mutabilis,\nPholiota mutabilis,accepted,,Strophariaceae\n"
SPLIT = HEAD + "Agaricus xanthodermus,pro parte synonym,Agaricus aridus,\nAgaricus xanthodermus,accepted,,\n"
RENAME_AGARICUS = HEAD + "Agaricus xanthodermus,synonym,Agaricus ferreus,\n"
XANTHODERMUS = "agaricus-xanthodermus-group"


def proposed(content: str, by: User) -> NameChange:
    (row,) = take_over("names.csv", content.encode(), by=by)
    return row


def accepted(content: str, by: User) -> NameChange:
    return decide(proposed(content, by), accept=True, why="", by=by)


def text_of(client: Client, name: str, *args: str) -> str:
    return client.get(reverse(name, args=args)).content.decode()


@pytest.fixture
def named(kind: Kind, diagnostician: User) -> Determination:
    taxon = funga.load().taxa[XANTHODERMUS]
    return Determination.objects.create(
        kind=kind, taxon=taxon.id, name="Agaricus xanthodermus", qualifier="gr.", rank="species group",
        according_to=taxon.according_to, by=diagnostician, by_role="diagnostician", at=timezone.now(),
    )  # fmt: skip


def test_a_checklist_only_proposes(manager: User) -> None:
    row = proposed(RENAMED, manager)
    assert row.state == "proposed"
    assert load().taxa["kuehneromyces-mutabilis"].name == "Kuehneromyces mutabilis"


def test_an_accepted_name_is_in_force_on_every_page(at_bench: Client, diagnostician: User) -> None:
    accepted(RENAMED, diagnostician)
    assert "Pholiota mutabilis" in text_of(at_bench, "records:taxon", "kuehneromyces-mutabilis")
    found = at_bench.get(reverse("records:funga"), {"q": "Kuehneromyces mutabilis"}).content.decode()
    assert "“Kuehneromyces mutabilis” is an old or other name of Pholiota mutabilis." in found


def test_a_declined_name_is_not_in_force_and_not_proposed_again(diagnostician: User) -> None:
    row = decide(proposed(RENAMED, diagnostician), accept=False, why="We wait for the monograph", by=diagnostician)
    assert (row.state, load().taxa["kuehneromyces-mutabilis"].name) == ("declined", "Kuehneromyces mutabilis")
    assert take_over("names.csv", RENAMED.encode(), by=diagnostician) == []


def test_declining_needs_a_reason(diagnostician: User) -> None:
    with pytest.raises(NameChangeError, match="Say in a few words why"):
        decide(proposed(RENAMED, diagnostician), accept=False, why=" ", by=diagnostician)


def test_a_decision_is_taken_once(diagnostician: User) -> None:
    row = accepted(RENAMED, diagnostician)
    with pytest.raises(NameChangeError, match="was accepted already"):
        decide(row, accept=False, why="No", by=diagnostician)


def test_a_proposal_that_another_one_overtook_is_refused(diagnostician: User) -> None:
    first = proposed(RENAMED, diagnostician)
    accepted(RENAMED.replace("Pholiota", "Galerina"), diagnostician)
    with pytest.raises(NameChangeError, match="Its name has changed since"):
        decide(first, accept=True, why="", by=diagnostician)


def test_every_step_is_in_the_history(diagnostician: User) -> None:
    accepted(RENAMED, diagnostician)
    words = list(HistoryEntry.objects.filter(subject="namechange").values_list("action", "words"))
    assert words == [
        ("proposed", "From names.csv: Kuehneromyces mutabilis is now called Pholiota mutabilis."),
        ("accepted", "Kuehneromyces mutabilis is now called Pholiota mutabilis. Accepted."),
    ]


def test_the_front_desk_may_look_but_not_decide(at_front_desk: Client, front_desk: User, manager: User) -> None:
    row = proposed(RENAMED, manager)
    page = text_of(at_front_desk, "records:names")
    assert "A front desk may not accept or decline a change of name." in page
    assert at_front_desk.post(reverse("records:decide_name", args=[row.pk]), {"decision": "accept"}).status_code == 403
    with pytest.raises(PermissionDenied):
        take_over("names.csv", RENAMED.encode(), by=front_desk)


def test_a_list_with_half_its_columns_wrong_names_them_and_changes_nothing(at_managers_desk: Client) -> None:
    file = SimpleUploadedFile("names.csv", b"scientificname,state,accepted\nVerpa bohemica,synonym,X\n")
    answer = at_managers_desk.post(reverse("records:names"), {"checklist": file})
    assert answer.status_code == 400
    text = answer.content.decode()
    assert "nothing was changed" in text
    assert "names.csv: row 1: these columns are missing: scientificName (perhaps “scientificname”)" in text
    assert not NameChange.objects.exists()


def test_one_bad_row_takes_over_no_row(manager: User) -> None:
    with pytest.raises(FungaError, match="row 4: taxonomicStatus “banana”"):
        take_over("names.csv", (RENAMED + "Verpa bohemica,banana,,\n").encode(), by=manager)
    assert not NameChange.objects.exists()


def test_the_page_proposes_and_decides(at_managers_desk: Client) -> None:
    file = SimpleUploadedFile("names.csv", RENAMED.encode())
    page = at_managers_desk.post(reverse("records:names"), {"checklist": file}, follow=True).content.decode()
    assert "1 proposed, to be decided below." in page
    row = NameChange.objects.get()
    done = at_managers_desk.post(reverse("records:decide_name", args=[row.pk]), {"decision": "accept"}, follow=True)
    assert "Kuehneromyces mutabilis is now called Pholiota mutabilis. Accepted." in done.content.decode()


def test_a_form_without_a_file_says_what_to_do(at_managers_desk: Client) -> None:
    answer = at_managers_desk.post(reverse("records:names"))
    assert "Choose the file of the checklist first." in answer.content.decode()


def test_a_determination_keeps_the_name_it_was_written_with(diagnostician: User, named: Determination) -> None:
    before = (named.name, named.according_to)
    accepted(RENAME_AGARICUS, diagnostician)
    named.refresh_from_db()
    assert (named.name, named.according_to) == before


def test_records_are_found_under_the_old_name_and_the_new(
    at_bench: Client, diagnostician: User, named: Determination
) -> None:
    accepted(RENAME_AGARICUS, diagnostician)
    for name in ("Agaricus xanthodermus", "Agaricus ferreus"):
        answer = at_bench.get(reverse("records:list"), {"q": name})
        assert [s.code for s in answer.context["page"]] == [named.kind.submission.code], name


def test_an_older_record_of_a_split_name_stands_in_the_wide_sense_until_it_is_read_again(
    at_bench: Client, diagnostician: User, named: Determination
) -> None:
    accepted(SPLIT, diagnostician)
    code = named.kind.submission.code
    assert "In the wide sense since: Agaricus xanthodermus was split into" in text_of(at_bench, "records:record", code)
    assert "One kind was named before and not read again." in text_of(at_bench, "records:names")
    Determination.objects.create(
        kind=named.kind, name="Agaricus aridus", rank="species", by=diagnostician, by_role="diagnostician",
        at=timezone.now(), replaces=named,
    )  # fmt: skip
    assert "No kind waits to be read again." in text_of(at_bench, "records:names")


def test_a_name_written_after_the_split_says_in_which_sense(diagnostician: User) -> None:
    accepted(SPLIT, diagnostician)
    assert load().taxa[XANTHODERMUS].according_to.startswith("in the wide sense, before it was split into")


def test_an_issued_report_never_changes(at_bench: Client, case: Submission, diagnostician: User) -> None:
    begun(at_bench, case)
    report = issued(at_bench, case)
    before = Path(report.pdf.path).read_bytes(), report.sha256
    accepted(RENAME_AGARICUS, diagnostician)
    report.refresh_from_db()
    assert (Path(report.pdf.path).read_bytes(), report.sha256) == before
