"""The count of fruit bodies, written at the head of the notebook page."""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST

from fruitbody.desk.bench.actions.counting import count_fruit_bodies
from fruitbody.desk.bench.notebook_errors import NotebookError
from fruitbody.desk.bench.showing import kind_of
from fruitbody.desk.bench.views_receiving import person
from fruitbody.desk.people.policy import Act, requires


@require_POST
@requires(Act.FIND)
def count(request: HttpRequest, pk: int) -> HttpResponse:
    kind = kind_of(pk)
    try:
        counted = count_fruit_bodies(kind, request.POST.get("fruit_bodies", "").strip(), by=person(request))
        messages.success(request, f"{counted}: {counted.fruit_bodies} fruit bodies.")
    except NotebookError as wrong:
        messages.error(request, str(wrong))
    return redirect("bench:kind", pk=pk)
