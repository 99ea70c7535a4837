"""Phone numbers as ITU-T E.164 writes them: a plus, the country code, the national number."""

from __future__ import annotations

import re
from functools import lru_cache

import phonenumbers


class BadPhone(ValueError):
    """Not a phone number that can exist."""


@lru_cache(maxsize=4096)
def to_e164(written: str, region: str | None = None) -> str:
    """A number in any usual writing as E.164, such as +447700900001.

    region : country (ISO 3166, two letters) whose national writing is accepted too.
    Takes every number that is possible by its length, also where it is not in use: numbering plans change
    faster than libraries, and the ranges set aside for drama are never in use.
    Raises BadPhone.
    """
    # A plus that was not escaped in a form or a query arrives as a blank.
    text = re.sub(r"^ (?=\d)", "+", written).strip()
    if re.search(r"[^\d\s()./+\-]", text):
        raise BadPhone("the sender is not a phone number")
    try:
        number = phonenumbers.parse(text, region)
    except phonenumbers.NumberParseException as exc:
        raise BadPhone(f"not a phone number: {exc}") from None
    # "Possible" to the library includes numbers that only ring within one town: short codes look like those,
    # and neither has an E.164 form.
    length = phonenumbers.is_possible_number_with_reason(number)
    if length != phonenumbers.ValidationResult.IS_POSSIBLE:
        raise BadPhone("no phone number has this many digits")
    return phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164)
