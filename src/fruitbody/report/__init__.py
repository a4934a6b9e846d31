"""What the clinic says: the content of a report, the letter, the PDF, the labels, and the words that never vary.

    refusals(content)        why it may not be issued yet, as sentences; empty when it may
    compose(content)         the words of page 1
    report_pdf(content)      tagged PDF/A-3b and PDF/UA-1
    label_sheet(slips)       the finder's parcel label and a slip per kind
    bag_label(labels)        the bench's small labels
    compose_name(name)       a scientific name with its qualifier, in parts
    caution(key, language)   a fixed sentence; banned_words(text) what no text of ours may say

Plain functions over frozen values: no clock, database or network. What stands here concludes nothing; it tells.
"""

from fruitbody.report.banned import BANNED, Banned, banned_words
from fruitbody.report.cautions import CAUTIONS, LANGUAGES, caution
from fruitbody.report.compose import KindLetter, Letter, compose
from fruitbody.report.content import (
    Call,
    Clinic,
    Evidence,
    Formal,
    KindReport,
    Means,
    NotExcluded,
    NotSeen,
    Opinion,
    Party,
    Person,
    Photo,
    Question,
    ReportContent,
    Strip,
    Submission,
)
from fruitbody.report.formal import FormalItem, formal_items
from fruitbody.report.labels import BagLabel, Slip, bag_label, label_sheet
from fruitbody.report.pdf import report_pdf
from fruitbody.report.qualifiers import MEANING, NamePart, Qualifier, QualifierError, compose_name, joined
from fruitbody.report.refuse import ReportRefused, refusals
from fruitbody.report.sheet import content_digest
from fruitbody.report.words import size_in_words

__all__ = [
    "BANNED",
    "CAUTIONS",
    "LANGUAGES",
    "MEANING",
    "BagLabel",
    "Banned",
    "Call",
    "Clinic",
    "Evidence",
    "Formal",
    "FormalItem",
    "KindLetter",
    "KindReport",
    "Letter",
    "Means",
    "NamePart",
    "NotExcluded",
    "NotSeen",
    "Opinion",
    "Party",
    "Person",
    "Photo",
    "Qualifier",
    "QualifierError",
    "Question",
    "ReportContent",
    "ReportRefused",
    "Slip",
    "Strip",
    "Submission",
    "bag_label",
    "banned_words",
    "caution",
    "compose",
    "compose_name",
    "content_digest",
    "formal_items",
    "joined",
    "label_sheet",
    "refusals",
    "report_pdf",
    "size_in_words",
]
