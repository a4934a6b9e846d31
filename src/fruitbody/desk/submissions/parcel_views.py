"""*Pack it* and *Follow my parcel*: what a private link opens, and what a slip's square code leads to."""

from __future__ import annotations

from urllib.parse import urlencode

import segno
from django.conf import settings
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import NoReverseMatch, reverse
from django.utils import timezone
from django.utils.safestring import mark_safe
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from fruitbody.desk.people.clinic import clinic_of
from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.policy import Act, may, requires
from fruitbody.desk.submissions.actions import answer_clinic, post_parcel, resend
from fruitbody.desk.submissions.choices import FINDER_VIEWS, region_name
from fruitbody.desk.submissions.models import Message, Submission
from fruitbody.desk.submissions.public import letters_for_finder, public_kinds, public_reports
from fruitbody.desk.submissions.state import WORDS, State, facts_of, link_works, state_of
from fruitbody.handling import guidance
from fruitbody.handling.codes import CodeError, read_code, slip_url, written
from fruitbody.report import Slip, label_sheet

LONGEST_ANSWER = 4000


def own_submission(token: str) -> Submission:
    """What a private link opens. Raises Http404 for a link that was guessed, mistyped or has expired."""
    submission = get_object_or_404(Submission, token=token)
    if not link_works(submission.closed_at, timezone.now()):
        raise Http404
    return submission


@never_cache
@require_safe
def follow(request: HttpRequest, token: str) -> HttpResponse:
    submission = own_submission(token)
    state = state_of(facts_of(submission))
    context = {
        "submission": submission,
        "state": state,
        "words": WORDS[state],
        "way": _way(state),
        "kinds": public_kinds(submission),
        "reports": public_reports(submission),
        "letters": letters_for_finder(submission),
        "photos": submission.photos.filter(added_by__isnull=True).select_related("kind"),
        "views": FINDER_VIEWS,
        "just_sent": "sent" in request.GET,
        "link": request.build_absolute_uri(request.path),
        "before_parcel": state in (State.ANNOUNCED, State.ON_ITS_WAY),
        "open": state is not State.CLOSED,
        "promised": submission.promised_for if state not in (State.REPORTED, State.CLOSED) else None,
        "region_name": region_name(submission.region),
    }
    return render(request, "submissions/follow.html", context)


def _way(now: State) -> list[dict[str, str]]:
    """All states in order, each past, here or to come."""
    order = list(State)
    here = order.index(now)
    return [
        {"name": _(state.value), "where": "past" if i < here else "here" if i == here else "to-come"}
        for i, state in enumerate(order)
    ]


@require_POST
def answer(request: HttpRequest, token: str) -> HttpResponse:
    submission = own_submission(token)
    words = request.POST.get("words", "").strip()
    if not words:
        messages.error(request, _("The message was empty, so nothing was sent. Write a few words."))
    elif len(words) > LONGEST_ANSWER:
        messages.error(request, _("The message is too long to be kept. Say it in fewer than 4000 letters."))
    else:
        answer_clinic(submission, words=words)
        messages.success(request, _("Your message is here."))
    return redirect("submissions:follow", token=token)


@never_cache
@require_safe
def report_version(request: HttpRequest, token: str, version: int) -> HttpResponse:
    """The PDF of an issued version; one that was replaced says so and leads to the newer."""
    submission = own_submission(token)
    issued = public_reports(submission)
    row = next((row for row in issued if row.version == version), None)
    if row is None:
        raise Http404
    report = row.report
    if row.replaced or row.withheld:
        context = {"submission": submission, "row": row, "newest": issued[0]}
        return render(request, "submissions/replaced.html", context, status=410 if row.replaced else 403)
    if not report.pdf:
        raise Http404
    with report.pdf.open("rb") as file:
        return _pdf(file.read(), f"report-{submission.code}-v{report.version}.pdf")


def _pdf(data: bytes, name: str) -> HttpResponse:
    answer = HttpResponse(data, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    return answer


@never_cache
@require_safe
def pack(request: HttpRequest, token: str) -> HttpResponse:
    submission, clinic = own_submission(token), clinic_of(request)
    today = timezone.localdate()
    context = {
        "submission": submission,
        "slips": [{"slip": slip, "qr": _square(slip.url)} for slip in slips_of(submission, clinic)],
        "packing": guidance.packing(),
        "care": guidance.care(),
        "before_picking": guidance.before_picking(on_tree=False) if submission.picked is False else (),
        "elsewhere": guidance.from_elsewhere(submission.region, clinic.region),
        "eaten": guidance.EATEN_BY_SOMEBODY if submission.eaten != "no" else None,
        "posting": guidance.posting_words(today),
    }
    return render(request, "submissions/pack.html", context)


def slips_of(submission: Submission, clinic: Clinic) -> tuple[Slip, ...]:
    """A slip per kind, as the sheet of labels prints them."""
    return tuple(
        Slip(
            code=submission.code,
            finder_label=kind.finder_label,
            clinic_name=clinic.name,
            clinic_address=tuple(line for line in clinic.address.splitlines() if line.strip()),
            url=slip_url(settings.ADDRESS, submission.code, kind.finder_label),
            question=submission.get_question_display(),
        )
        for kind in submission.kinds.filter(split_from__isnull=True)
    )


def _square(text: str) -> str:
    """A QR code as SVG without inline style. Made from our own text only, so it may stand in the page as it is."""
    return mark_safe(
        segno.make(text, error="m", micro=False).svg_inline(border=2, omitsize=True, svgclass="qr", lineclass=None)
    )


@require_safe
def labels(request: HttpRequest, token: str) -> HttpResponse:
    submission, clinic = own_submission(token), clinic_of(request)
    sheet = label_sheet(slips_of(submission, clinic), paper=clinic.paper)
    return _pdf(sheet, f"labels-{submission.code}.pdf")


@require_POST
def posted(request: HttpRequest, token: str) -> HttpResponse:
    post_parcel(own_submission(token))
    messages.success(request, _("Thank you. We know that it is on its way."))
    return redirect("submissions:follow", token=token)


@require_safe
def slip(request: HttpRequest, code: str) -> HttpResponse:
    """A scanned slip: the front desk goes on to receiving, anybody else learns whose parcel it is and nothing more."""
    try:
        known = Submission.objects.filter(code=written(read_code(code))).first()
    except CodeError as error:
        return render(request, "submissions/slip.html", {"problem": str(error)}, status=404)
    if may(request.user, Act.RECEIVE) and known:
        try:
            scanned = urlencode({"code": request.build_absolute_uri()})
            return redirect(f"{reverse('bench:receiving')}?{scanned}")
        except NoReverseMatch:
            return redirect("records:record", code=known.code)
    return render(request, "submissions/slip.html", {"known": bool(known)}, status=200 if known else 404)


@require_POST
@requires(Act.ASK_FINDER)
def letter_again(request: HttpRequest, pk: int) -> HttpResponse:
    assert isinstance(request.user, User)
    message = resend(get_object_or_404(Message, pk=pk), by=request.user)
    if not message.to_email:
        messages.error(request, _("There is no e-mail address for this letter. Call the finder instead."))
    elif message.state == Message.State.FAILED:
        messages.error(request, _("It could not be sent: %(why)s") % {"why": message.error})
    else:
        messages.success(request, _("The letter has left."))
    return redirect("records:record", code=message.submission.code)
