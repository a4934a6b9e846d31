"""Codes that people type and scanners read, each with a check character: clinic numbers and submission codes.

    CodeError    a code that cannot be read; a sentence that says what to do

The check character is that of ISO/IEC 7064, system MOD 37,36: it finds every single wrong character and nearly every
swap of neighbours, over the digits and the letters A to Z.
"""

from __future__ import annotations

import re
from itertools import product
from urllib.parse import parse_qs, urlencode, urlsplit

ALPHABET = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"
DRAWN_FROM = "23456789BCDFGHJKLMNPQRSTVWXZ"
"""For submission codes: without vowels, so that no word appears, and without 0, O, 1, I."""
LOOK_ALIKE = {"0": "0O", "O": "0O", "1": "1I", "I": "1I", "L": "L1I"}


class CodeError(ValueError):
    """A code that cannot be read. The message says what to do."""


def check_character(payload: str) -> str:
    """The check character of ISO/IEC 7064 MOD 37,36 for a payload of digits and capital letters.

    The recursive method of the standard: P starts at 36; for each character of value a, S = (P mod 37) + a and
    P = 2 (S mod 36, or 36 where that is 0); the check character c solves (P mod 37) + c = 1 (mod 36).
    Raises ValueError for a character outside the alphabet.
    """
    p = 36
    for character in payload:
        s = p % 37 + ALPHABET.index(character)
        p = 2 * (s % 36 or 36)
    return ALPHABET[(1 - p % 37) % 36]


def has_valid_check(code: str) -> bool:
    """Whether the last character of a bare code (no hyphens, capitals) is the check character of the rest."""
    return len(code) > 1 and all(c in ALPHABET for c in code) and check_character(code[:-1]) == code[-1]


def clinic_number(prefix: str, year: int, count: int) -> str:
    """The clinic's number on a specimen: prefix, last two digits of the year, counter, check character: F26-00417-L."""
    head, tail = f"{prefix}{year % 100:02d}", f"{count:05d}"
    return f"{head}-{tail}-{check_character(head + tail)}"


def submission_code(drawn: str) -> str | None:
    """The code on a slip from seven drawn characters of DRAWN_FROM, such as K7WM-9PQT.

    None where the check character would be a vowel or a look-alike: draw again (about one in four).
    """
    if len(drawn) != 7 or any(c not in DRAWN_FROM for c in drawn):
        raise ValueError("A submission code is drawn from seven characters of DRAWN_FROM.")
    check = check_character(drawn)
    return f"{drawn[:4]}-{drawn[4:]}{check}" if check in DRAWN_FROM else None


def read_code(typed: str) -> str:
    """The bare code that somebody typed or scanned: case, spaces, hyphens and look-alikes (O and 0, I and 1) mended.

    A scanned link counts by its last part. Raises CodeError where no reading, or more than one, has a valid check.
    """
    last = re.sub(r"[?#].*", "", typed.strip()).rstrip("/").rsplit("/", 1)[-1]
    bare = re.sub(r"[\s\-–—_.]", "", last).upper()
    if not bare or any(c not in ALPHABET for c in bare) or not 4 <= len(bare) <= 20:
        raise CodeError(
            f"“{typed.strip()[:40]}” is no code of ours. Type the letters and digits under the square code on the slip."
        )
    if has_valid_check(bare):
        return bare
    spots = [LOOK_ALIKE.get(c, c) for c in bare]
    if sum(len(s) > 1 for s in spots) > 8:
        spots = list(bare)
    readings = {reading for reading in map("".join, product(*spots)) if has_valid_check(reading)}
    if len(readings) != 1:
        raise CodeError(
            f"“{typed.strip()[:40]}” has a slip in it: its last character does not fit the rest. Compare it again."
        )
    return readings.pop()


def slip_url(address: str, code: str, finder_label: str) -> str:
    """What the square code on a slip says: the code, and which of its kinds lies in the bag."""
    return f"{address}/s/{code}/?{urlencode({'kind': finder_label})}"


def read_slip(typed: str) -> tuple[str, str]:
    """The code as written and the finder's label ("" if none) from a scanned slip or a typed code. Raises CodeError."""
    label = parse_qs(urlsplit(typed.strip()).query).get("kind", [""])[-1]
    return written(read_code(typed)), label


def written(bare: str) -> str:
    """A bare code as it is written: K7WM-9PQT for eight characters, F26-00417-L for a clinic number."""
    if match := re.fullmatch(r"([A-Z]{1,4}\d\d)(\d{5,})([0-9A-Z])", bare):
        return "-".join(match.groups())
    return f"{bare[:4]}-{bare[4:]}"
