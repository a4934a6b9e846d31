"""Telephone numbers: from what a person types to E.164 and back to something that can be read aloud."""

from __future__ import annotations

import phonenumbers


class PhoneError(ValueError):
    """A telephone number that cannot be dialled; the message says what to do."""


def phone_e164(typed: str, country: str = "US") -> str:
    """The number in E.164 (ITU-T), such as +16075550142.

    country: ISO 3166-1 code that is assumed where no country code is typed. Raises PhoneError.
    """
    try:
        number = phonenumbers.parse(typed, country)
    except phonenumbers.NumberParseException as error:
        raise PhoneError(
            f"“{typed}” is no telephone number. Write it with its area code, for instance 607 555 0142."
        ) from error
    # Possible, not valid: the numbering plans change faster than any table, and invented numbers must do in trainings.
    if not phonenumbers.is_possible_number(number):
        raise PhoneError(
            f"“{typed}” has too few or too many digits. Write it with its area code, for instance 607 555 0142."
        )
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)


def phone_in_words(e164: str, country: str = "US") -> str:
    """As people of the country read it; unchanged where it is no E.164 number."""
    try:
        number = phonenumbers.parse(e164, None)
    except phonenumbers.NumberParseException:
        return e164
    home = number.country_code == phonenumbers.country_code_for_region(country)
    style = phonenumbers.PhoneNumberFormat.NATIONAL if home else phonenumbers.PhoneNumberFormat.INTERNATIONAL
    return phonenumbers.format_number(number, style)
