"""The funga under the names that the clinic has accepted: the one that rooms of the desk work with.

Asked at most once per request; the names themselves are changed in `actions.py` alone.
"""

from __future__ import annotations

from collections.abc import Callable
from contextvars import ContextVar
from functools import lru_cache

from django.http import HttpRequest
from django.http.response import HttpResponseBase

from fruitbody import funga
from fruitbody.desk.records.models import NameChange
from fruitbody.funga.nomenclature import ChangeKind, with_changes
from fruitbody.funga.nomenclature import NameChange as Change

_ASKED: ContextVar[dict[str, list[NameChange]] | None] = ContextVar("asked", default=None)


def load() -> funga.Funga:
    """The funga with every accepted change of name, in the order of their acceptance."""
    return _changed(tuple(as_change(row) for row in accepted_changes()))


def accepted_changes() -> list[NameChange]:
    """Every accepted change, in the order of acceptance; asked once per request."""
    held = _ASKED.get()
    if held is not None and "rows" in held:
        return held["rows"]
    rows = list(NameChange.objects.filter(state=NameChange.State.ACCEPTED).order_by("decided_at", "pk"))
    if held is not None:
        held["rows"] = rows
    return rows


def as_change(row: NameChange) -> Change:
    """The row as the plain value that the funga understands."""
    return Change(
        taxon=row.taxon,
        kind=ChangeKind(row.kind),
        old=row.old,
        names=tuple(row.names),
        authority=row.authority,
        family=row.family,
        according_to=row.according_to,
        words=row.words,
    )


@lru_cache(maxsize=4)
def _changed(changes: tuple[Change, ...]) -> funga.Funga:
    return with_changes(funga.load(), changes)


def forget() -> None:
    """Let the next question of this request be answered anew."""
    held = _ASKED.get()
    if held is not None:
        held.clear()


class NamesInForce:
    """Middleware: what one request asked for is not asked twice, and not kept for the next."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponseBase]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponseBase:
        token = _ASKED.set({})
        try:
            return self.get_response(request)
        finally:
            _ASKED.reset(token)
