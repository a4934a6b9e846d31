"""The mail that carries a report: what cannot wait, where the report is, the cautions. Pure over content and row.

No name of a fungus of ours stands in it: a letter stays readable when a name comes on hold later.
"""

from __future__ import annotations

from fruitbody.desk.reports.models import ReportVersion
from fruitbody.desk.submissions.actions import link_of
from fruitbody.report import ReportContent, caution, compose

SUBJECT = {"en": "Report on your mushroom, {code}", "es": "Informe sobre su hongo, {code}"}
NEW_SUBJECT = {
    "en": "New report on your mushroom, {code}: version {v} replaces the earlier one",
    "es": "Nuevo informe sobre su hongo, {code}: la versión {v} reemplaza a la anterior",
}
ATTACHED = {
    "en": "The report is attached (version {v}). Please read it as a whole.",
    "es": "El informe va adjunto (versión {v}). Por favor, léalo completo.",
}
FOLLOW = {
    "en": "It also stands on your private page; anybody who has this link can read it:",
    "es": "También está en su página privada; quien tenga este enlace puede leerla:",
}


def report_letter(report: ReportVersion, content: ReportContent, *, finder: bool) -> tuple[str, str]:
    """Subject and body. finder: the private link goes to them alone."""
    language, letter, version = content.language, compose(content), report.version
    subject = (NEW_SUBJECT if version > 1 else SUBJECT)[language].format(code=content.code, v=version)
    paragraphs = ["\n".join(letter.urgent)]
    if letter.replaces:
        paragraphs.append("\n".join((f"{letter.replaces}.", *letter.changed, letter.why, letter.called)).strip())
    paragraphs.append(ATTACHED[language].format(v=version))
    if finder:
        paragraphs.append(f"{FOLLOW[language]}\n{link_of(report.submission)}")
    fixed = ("not_eating", "these_pieces", *(("replaced",) if version > 1 else ()))
    paragraphs.append("\n".join(caution(key, language) for key in fixed))
    clinic = content.clinic
    paragraphs.append("\n".join(part for part in (*letter.signed, clinic.name, clinic.phone, clinic.email) if part))
    return subject, "\n\n".join(part for part in paragraphs if part) + "\n"
