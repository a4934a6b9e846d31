"""Where letters go when no mail server is set: one .eml file each in the outbox folder, for any mail program."""

from __future__ import annotations

import os
from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.core.mail import EmailMessage
from django.core.mail.backends.base import BaseEmailBackend
from django.utils import timezone


class OutboxBackend(BaseEmailBackend):
    def __init__(self, fail_silently: bool = False, **kwargs: Any) -> None:
        super().__init__(fail_silently=fail_silently)

    def send_messages(self, email_messages: Sequence[EmailMessage]) -> int:
        settings.OUTBOX.mkdir(parents=True, exist_ok=True)
        for message in email_messages:
            self._write(message)
        return len(email_messages)

    def _write(self, message: EmailMessage) -> None:
        """Under a name of its own, whole or not at all."""
        stamp = timezone.now().strftime("%Y%m%d-%H%M%S-%f")
        part = settings.OUTBOX / f".{stamp}-{os.getpid()}.part"
        part.write_bytes(message.message().as_bytes())
        part.rename(settings.OUTBOX / f"{stamp}-{os.getpid()}.eml")
