"""Who may do what: one table, asked by views and actions alike. Nothing else decides it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import StrEnum
from functools import wraps
from typing import Any, TypeVar, cast

from django.contrib.auth.models import AnonymousUser
from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import PermissionDenied
from django.http import HttpRequest, HttpResponseBase

from fruitbody.desk.people.models import Role, User

View = TypeVar("View", bound=Callable[..., HttpResponseBase])


class Act(StrEnum):
    """Everything that somebody may or may not do, as a verb that completes “may”."""

    VIEW_STAFF_PAGES = "see the staff pages"
    RECEIVE = "receive parcels"
    OPEN_SHUT_BOX = "decide on a box that stays shut"
    SPLIT = "split a kind"
    MERGE = "merge kinds"
    FIND = "write a finding"
    PREPARE = "start or finish a preparation"
    DETERMINE = "name a kind"
    SECOND_READ = "write a second reading"
    DRAFT_REPORT = "draft a report"
    ISSUE_REPORT = "issue a report"
    AMEND_REPORT = "amend an issued report"
    ASK_FINDER = "write to the finder"
    LOG_CALL = "log what was said by telephone"
    FLAG = "flag a submission"
    CLOSE = "close a submission"
    SEE_PERSONAL = "see who sent it and from where"
    SEE_RECORDS = "see the history"
    SEE_HELD_NAME = "see a name that is on hold"
    PLACE_HOLD = "place a hold"
    RELEASE_HOLD = "release a hold"
    DISCARD = "pass on or destroy material"
    EXPORT = "export records"
    CHANGE_NAMES = "accept or decline a change of name"
    EDIT_CLINIC = "change the clinic's settings"
    MANAGE_STAFF = "manage the staff"


FRONT, DIAGNOSTICIAN, SECOND, MANAGER = Role.FRONT_DESK, Role.DIAGNOSTICIAN, Role.SECOND_READER, Role.MANAGER
EVERYBODY = frozenset(Role)

MAY: Mapping[Act, frozenset[Role]] = {
    Act.VIEW_STAFF_PAGES: EVERYBODY,
    Act.RECEIVE: frozenset({FRONT, DIAGNOSTICIAN, MANAGER}),
    Act.OPEN_SHUT_BOX: frozenset({MANAGER}),
    Act.SPLIT: frozenset({FRONT, DIAGNOSTICIAN, MANAGER}),
    Act.MERGE: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.FIND: EVERYBODY,
    Act.PREPARE: EVERYBODY,
    Act.DETERMINE: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.SECOND_READ: frozenset({DIAGNOSTICIAN, SECOND, MANAGER}),
    Act.DRAFT_REPORT: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.ISSUE_REPORT: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.AMEND_REPORT: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.ASK_FINDER: frozenset({FRONT, DIAGNOSTICIAN, MANAGER}),
    Act.LOG_CALL: frozenset({FRONT, DIAGNOSTICIAN, MANAGER}),
    Act.FLAG: EVERYBODY,
    Act.CLOSE: frozenset({DIAGNOSTICIAN, MANAGER}),
    # The second reader reads the material, not the person.
    Act.SEE_PERSONAL: frozenset({FRONT, DIAGNOSTICIAN, MANAGER}),
    Act.SEE_RECORDS: frozenset({FRONT, DIAGNOSTICIAN, MANAGER}),
    Act.SEE_HELD_NAME: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.PLACE_HOLD: frozenset({FRONT, DIAGNOSTICIAN, MANAGER}),
    Act.RELEASE_HOLD: frozenset({MANAGER}),
    Act.DISCARD: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.EXPORT: frozenset({MANAGER}),
    Act.CHANGE_NAMES: frozenset({DIAGNOSTICIAN, MANAGER}),
    Act.EDIT_CLINIC: frozenset({MANAGER}),
    Act.MANAGE_STAFF: frozenset({MANAGER}),
}


@dataclass(frozen=True, slots=True)
class Decision:
    """Whether it is allowed, and a sentence that says why or what to do. True in an `if` when allowed."""

    allowed: bool
    reason: str

    def __bool__(self) -> bool:
        return self.allowed


def may(user: User | AnonymousUser | Any, act: Act) -> Decision:
    """May this person do this? The role alone decides; a superuser has no other rights than the role gives."""
    if not isinstance(user, User) or not user.is_authenticated:
        return Decision(False, "Please sign in first.")
    if not user.is_active:
        return Decision(False, "This account is closed. Ask the manager to open it again.")
    roles = MAY[act]
    role = Role(user.role)
    if role in roles:
        return Decision(True, f"A {role.label.lower()} may {act.value}.")
    others = " or ".join(other.label.lower() for other in Role if other in roles)
    return Decision(False, f"A {role.label.lower()} may not {act.value}. Ask a {others}.")


def ensure(user: User | AnonymousUser | Any, act: Act) -> None:
    """For actions: raises PermissionDenied with the reason where `may` says no."""
    decision = may(user, act)
    if not decision:
        raise PermissionDenied(decision.reason)


def requires(act: Act) -> Callable[[View], View]:
    """A view for those who may: others are asked to sign in, or get a page with the reason (403)."""

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return redirect_to_login(request.get_full_path())
            ensure(request.user, act)
            return view(request, *args, **kwargs)

        return cast(View, guarded)

    return decorate
