"""What can be done to the clinic's settings: one transaction each, with its history entry."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.contrib.auth.password_validation import validate_password
from django.db import transaction

from fruitbody.desk.people.models import Clinic, User
from fruitbody.desk.people.policy import Act, ensure
from fruitbody.desk.records.actions import write_history


@transaction.atomic
def change_clinic(clinic: Clinic, changes: Mapping[str, Any], *, by: User) -> Clinic:
    """Set the named fields. Raises PermissionDenied for anybody but a manager."""
    ensure(by, Act.EDIT_CLINIC)
    before = {name: getattr(clinic, name) for name in changes}
    changed = {name: value for name, value in changes.items() if before[name] != value}
    for name, value in changed.items():
        setattr(clinic, name, value)
    clinic.save()
    if changed:
        write_history(
            by=by,
            subject=clinic,
            action="changed",
            words=f"The clinic's settings were changed: {', '.join(sorted(changed)).replace('_', ' ')}.",
            data={name: [before[name], value] for name, value in changed.items()},
        )
    return clinic


@transaction.atomic
def found_clinic(fields: Mapping[str, Any]) -> Clinic:
    """Make the clinic's one row when the desk is set up. Raises ValueError where there is one already."""
    if Clinic.objects.exists():
        raise ValueError("This desk has its clinic already. Change it on the page Clinic.")
    clinic = Clinic(**fields)
    clinic.full_clean()
    clinic.save()
    write_history(by=None, subject=clinic, action="founded", words=f"The desk of {clinic.name} was set up.")
    return clinic


@transaction.atomic
def add_staff(fields: Mapping[str, str], *, password: str, by: User | None = None) -> User:
    """Give a member of the staff an account: username, first_name, last_name, role, title, email.

    by: a manager; None only at the machine itself (`fruitbody staff`). Raises PermissionDenied, ValidationError where a
    field or the password will not do.
    """
    if by is not None:
        ensure(by, Act.MANAGE_STAFF)
    user = User(**fields)
    validate_password(password, user)
    user.set_password(password)
    user.full_clean()
    user.save()
    write_history(
        by=by,
        subject=user,
        action="joined",
        words=f"{user.full_name} joined the desk as {user.get_role_display().lower()}.",
    )
    return user
