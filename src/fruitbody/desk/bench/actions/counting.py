"""How many fruit bodies of a kind there are: a danger is excluded for a lot only when it is for every one of them."""

from __future__ import annotations

from django.db import transaction

from fruitbody.desk.bench.models import Kind
from fruitbody.desk.bench.notebook_errors import NotebookError
from fruitbody.desk.people.models import User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history

MOST = 999


@transaction.atomic
def count_fruit_bodies(kind: Kind, typed: str, *, by: User) -> Kind:
    """Keep the count as typed. Raises PermissionDenied; NotebookError for what is no count from 1 to 999."""
    ensure(by, Act.FIND)
    if not (typed.isascii() and typed.isdecimal() and 1 <= int(typed[:5]) <= MOST):
        raise NotebookError(f"“{typed[:20]}” is no count of fruit bodies. Write a whole number from 1 to {MOST}.")
    locked = Kind.objects.select_for_update().get(pk=kind.pk)
    if locked.fruit_bodies == int(typed):
        return locked
    before, locked.fruit_bodies = locked.fruit_bodies, int(typed)
    locked.save(update_fields=["fruit_bodies"])
    write_history(
        by=by,
        submission=locked.submission,
        subject=locked,
        action="counted",
        words=f"{locked}: {locked.fruit_bodies} fruit bodies were counted.",
        data={"before": before, "now": locked.fruit_bodies},
    )
    return locked
