"""The words of letters to finders: subject and body. Each carries the private link and the fixed cautions."""

from __future__ import annotations

from django.utils.translation import gettext as _

from fruitbody.desk.people.clinic import current_clinic
from fruitbody.desk.people.phones import phone_in_words
from fruitbody.desk.submissions.models import Eaten, Question, Submission
from fruitbody.report import caution


def announced_letter(submission: Submission, link: str, pack_link: str) -> tuple[str, str]:
    """After the form was sent: the code, the private link, how to pack."""
    paragraphs = [
        _("Thank you. We have kept what you told us under the code %(code)s.") % {"code": submission.code},
        _("Your private page shows where it stands; anybody who has this link can read it:") + f"\n{link}",
    ]
    if submission.eaten == Eaten.NO:
        paragraphs.append(_("How to pack it, with a label and slips to print:") + f"\n{pack_link}")
    else:
        paragraphs.insert(0, _poisoning(submission.language))
    if submission.question == Question.EATING:
        paragraphs.append(caution("eating_not_answered", submission.language))
    return _("Your mushroom, %(code)s") % {"code": submission.code}, _signed(paragraphs, submission.language)


def asking_letter(submission: Submission, words: str, link: str) -> tuple[str, str]:
    """Something is missing: the clinic's words, and where to answer or add photos."""
    paragraphs = [words, _("You can answer and add photos here:") + f"\n{link}"]
    return _("A question about your mushroom, %(code)s") % {"code": submission.code}, _signed(
        paragraphs, submission.language
    )


def _poisoning(language: str) -> str:
    keys = ("poisoning", "poisoning_people", "poisoning_animals", "keep")
    return "\n".join(caution(key, language) for key in keys)


def _signed(paragraphs: list[str], language: str) -> str:
    clinic = current_clinic()
    cautions = "\n".join(caution(key, language) for key in ("not_eating", "these_pieces", "not_watched"))
    signature = "\n".join(
        part
        for part in (clinic.name, clinic.department, phone_in_words(clinic.phone, clinic.country), clinic.email)
        if part
    )
    return "\n\n".join([*paragraphs, cautions, signature]) + "\n"
