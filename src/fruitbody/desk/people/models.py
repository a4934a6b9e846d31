"""Staff and the clinic itself."""

from __future__ import annotations

from django.contrib.auth.models import AbstractUser
from django.db import models


class Role(models.TextChoices):
    FRONT_DESK = "front-desk", "Front desk"
    DIAGNOSTICIAN = "diagnostician", "Diagnostician"
    SECOND_READER = "second-reader", "Second reader"
    MANAGER = "manager", "Manager"


class User(AbstractUser):
    """A member of the staff. One role each; what a role may do stands in `policy.py`."""

    role = models.CharField(max_length=20, choices=Role.choices, default=Role.FRONT_DESK)
    title = models.CharField(max_length=80, blank=True, help_text="As printed under a signature.")
    folds_ranking = models.BooleanField(default=True, help_text="Keep 'what fits' folded until asked.")

    @property
    def full_name(self) -> str:
        return self.get_full_name() or self.username


class Clinic(models.Model):
    """The clinic's letterhead and house rules. One row."""

    name = models.CharField(max_length=160)
    department = models.CharField(max_length=160, blank=True)
    address = models.TextField()
    county = models.CharField(max_length=80)
    region = models.CharField(max_length=10, help_text="ISO 3166-2, for instance US-NY.")
    country = models.CharField(max_length=2, default="US")
    phone = models.CharField(max_length=20, help_text="E.164")
    email = models.EmailField()
    hours = models.CharField(max_length=160, help_text="When somebody is there, in words.")
    time_zone = models.CharField(max_length=40, default="America/New_York")
    number_prefix = models.CharField(max_length=4, default="F", help_text="First letters of clinic numbers.")
    paper = models.CharField(max_length=8, default="letter", choices=[("letter", "Letter"), ("a4", "A4")])
    accredited = models.BooleanField(default=False, help_text="Accredited for naming fungi under ISO/IEC 17025.")
    poison_line = models.CharField(max_length=40, default="1-800-222-1222")
    emergency_number = models.CharField(max_length=10, default="911")
    promised_days = models.PositiveSmallIntegerField(default=5, help_text="Working days promised for a report.")
    fold_ranking_share = models.FloatField(default=0.2, help_text="Share of kinds folded for everybody, 0 to 1.")

    def __str__(self) -> str:
        return self.name
