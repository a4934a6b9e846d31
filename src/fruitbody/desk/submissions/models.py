"""What people send and who they are: the submission, the parties, the photos, the words to and fro."""

from __future__ import annotations

import secrets

from django.conf import settings
from django.db import models


def new_token() -> str:
    """A link that cannot be guessed: 32 random bytes, URL-safe."""
    return secrets.token_urlsafe(32)


class Question(models.TextChoices):
    CURIOUS = "curious", "I would like to know what it is"
    TREE = "tree", "What does it mean for the tree?"
    LAWN = "lawn", "What does it mean for the lawn or bed?"
    CHILD = "child", "A child plays there"
    ANIMAL = "animal", "An animal lives or plays there"
    HOUSE = "house", "It grows in a house or on its timber"
    SALE = "sale", "It is about something bought or sold"
    DISPUTE = "dispute", "It is about a dispute"
    EATING = "eating", "Can I eat it?"


class Eaten(models.TextChoices):
    NO = "no", "No"
    PERSON = "person", "Yes, a person"
    ANIMAL = "animal", "Yes, an animal"
    UNSURE = "unsure", "I am not sure"


class Origin(models.TextChoices):
    WEB = "web", "Web form"
    WALK_IN = "walk-in", "Walk-in"
    PAPER = "paper", "Paper form"
    MAIL = "e-mail", "E-mail"
    TELEPHONE = "telephone", "Telephone"
    AGENT = "agent", "An agent's box"


class Submission(models.Model):
    """One case: what one person asks about one or several kinds."""

    code = models.CharField(max_length=12, unique=True, help_text="Short code on slips, with a check character.")
    token = models.CharField(max_length=64, unique=True, default=new_token, help_text="Of the private link.")
    form_key = models.CharField(
        max_length=64, unique=True, null=True, help_text="Made by the form; sent twice, kept once."
    )
    origin = models.CharField(max_length=12, choices=Origin.choices, default=Origin.WEB)
    created_at = models.DateTimeField(db_index=True)
    language = models.CharField(max_length=5, default="en")

    eaten = models.CharField(max_length=8, choices=Eaten.choices, default=Eaten.NO)
    eaten_note = models.TextField(blank=True)
    picked = models.BooleanField(null=True, help_text="Picked already?")
    question = models.CharField(max_length=10, choices=Question.choices, default=Question.CURIOUS)
    question_note = models.TextField(blank=True)

    found_on = models.DateField(null=True, blank=True)
    place_words = models.CharField(max_length=200, blank=True)
    county = models.CharField(max_length=80, blank=True)
    region = models.CharField(max_length=10, blank=True, help_text="ISO 3166-2")
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    place_uncertainty_m = models.FloatField(null=True, blank=True)
    consent_place = models.BooleanField(default=False, help_text="The exact place may be kept.")
    consent_photos = models.BooleanField(default=False, help_text="Photos may be kept and shown without names.")
    note = models.TextField(blank=True)

    sent_at = models.DateTimeField(null=True, blank=True, help_text="The finder says the parcel is on its way.")
    promised_for = models.DateField(null=True, blank=True)
    flag = models.CharField(max_length=20, blank=True, help_text="A person's flag: urgent, child, call ...")
    flag_note = models.CharField(max_length=200, blank=True)
    closed_at = models.DateTimeField(null=True, blank=True)
    box = models.ForeignKey("bench.Box", null=True, blank=True, on_delete=models.PROTECT, related_name="submissions")

    class Meta:
        ordering = ["-created_at"]

    def __str__(self) -> str:
        return self.code


class Party(models.Model):
    """A person or body in one of four roles on a submission."""

    class Role(models.TextChoices):
        SUBMITTER = "submitter", "Submitter"
        CLIENT = "client", "Client"
        PAYER = "payer", "Payer"
        RECIPIENT = "recipient", "Recipient of the report"

    class Way(models.TextChoices):
        MAIL = "e-mail", "E-mail"
        PHONE = "telephone", "Telephone"
        POST = "post", "Letter"

    submission = models.ForeignKey(Submission, on_delete=models.CASCADE, related_name="parties")
    role = models.CharField(max_length=10, choices=Role.choices)
    name = models.CharField(max_length=120)
    organisation = models.CharField(max_length=120, blank=True)
    email = models.EmailField(blank=True)
    phone = models.CharField(max_length=20, blank=True, help_text="E.164")
    address = models.TextField(blank=True)
    way = models.CharField(max_length=10, choices=Way.choices, default=Way.MAIL)

    class Meta:
        ordering = ["id"]
        verbose_name_plural = "parties"

    def __str__(self) -> str:
        return f"{self.name} ({self.role})"


class View(models.TextChoices):
    TOP = "top", "From above"
    SIDE = "side", "From the side"
    UNDERSIDE = "underside", "Underside"
    BASE = "base", "Foot"
    CUT = "cut", "Cut in half"
    PLACE = "place", "Where it grew"
    LABEL = "label", "Label"
    DRAWING = "drawing", "Drawing"
    BENCH = "bench", "At the bench"
    SPORES = "spores", "Spores"
    OTHER = "other", "Other"


class Photo(models.Model):
    """One picture: re-encoded on arrival, its hidden place kept apart and only with consent."""

    submission = models.ForeignKey(Submission, null=True, on_delete=models.CASCADE, related_name="photos")
    kind = models.ForeignKey("bench.Kind", null=True, blank=True, on_delete=models.SET_NULL, related_name="photos")
    form_key = models.CharField(max_length=64, blank=True, db_index=True, help_text="While the form is not sent yet.")
    kind_label = models.CharField(
        max_length=40, blank=True, help_text="The finder's label of the kind, before sending."
    )
    view = models.CharField(max_length=10, choices=View.choices, default=View.OTHER)
    image = models.FileField(upload_to="photos/%Y/%m/")
    thumb = models.FileField(upload_to="thumbs/%Y/%m/")
    original_name = models.CharField(max_length=200, blank=True)
    sha256 = models.CharField(max_length=64, db_index=True, help_text="Of the bytes as they arrived.")
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    taken_at = models.DateTimeField(null=True, blank=True)
    camera = models.JSONField(default=dict, help_text="Lens metadata kept for measuring: model, f35_mm.")
    latitude = models.FloatField(null=True, blank=True)
    longitude = models.FloatField(null=True, blank=True)
    reference = models.CharField(
        max_length=40, blank=True, help_text="What lay beside it for scale, as the finder says."
    )
    added_at = models.DateTimeField()
    added_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, null=True, blank=True, on_delete=models.PROTECT, related_name="+"
    )

    class Meta:
        ordering = ["id"]

    def __str__(self) -> str:
        return f"{self.view} {self.original_name}"


class Message(models.Model):
    """A letter or call to or from a party, kept as it was."""

    class State(models.TextChoices):
        WAITING = "waiting", "Waiting to be sent"
        SENT = "sent", "Sent"
        OUTBOX = "outbox", "Put into the outbox folder"
        FAILED = "failed", "Could not be sent"
        RECEIVED = "received", "Received"

    submission = models.ForeignKey(Submission, on_delete=models.CASCADE, related_name="messages")
    to_email = models.EmailField(blank=True)
    to_name = models.CharField(max_length=120, blank=True)
    subject = models.CharField(max_length=200)
    body = models.TextField()
    report = models.ForeignKey(
        "reports.ReportVersion", null=True, blank=True, on_delete=models.PROTECT, related_name="messages"
    )
    state = models.CharField(max_length=10, choices=State.choices, default=State.WAITING)
    error = models.CharField(max_length=300, blank=True)
    attempts = models.PositiveSmallIntegerField(default=0)
    created_at = models.DateTimeField()
    done_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["created_at", "id"]

    def __str__(self) -> str:
        return f"{self.subject} ({self.state})"
