"""A telephone operator's HTTP interface, described in TOML (format: docs/gateways.md)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Annotated, Any, Literal
from zoneinfo import ZoneInfo

import msgspec
import phonenumbers
from msgspec import Meta

from ..datafile import Document
from ..tomlfile import read_toml
from .fields import AnswerPlace, Place

Text = Annotated[str, Meta(min_length=1)]
EnvName = Annotated[str, Meta(pattern=r"^[A-Z][A-Z0-9_]*$")]
Status = Annotated[int, Meta(ge=200, le=599)]
MESSAGE_VALUES = ("phone", "phone_digits", "text", "reference")
"""What a template may name besides the profile's own secrets."""
_NAME = re.compile(r"\{(\w*)\}")


class SharedSecret(
    msgspec.Struct, frozen=True, tag_field="kind", tag="shared_secret", forbid_unknown_fields=True
):
    """Every call carries the secret itself at `place`."""

    place: Place
    secret_env: EnvName


class Hmac(msgspec.Struct, frozen=True, tag_field="kind", tag="hmac_sha256", forbid_unknown_fields=True):
    """Every call carries the HMAC-SHA256 (RFC 2104, FIPS 180-4) of its body in a header, after `prefix`."""

    header: Text
    secret_env: EnvName
    prefix: str = ""
    digest: Literal["hex", "base64"] = "hex"


class InboundProfile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where a farmer's message stands in a call.

    phone_form : `e164`, with the plus (national writing too when the profile has a region), or `digits`, the
        same without the plus.
    time_form : of `time`; `iso` without a zone is taken in `time_zone`.
    """

    phone: Place
    text: Place
    id: Place | None = None
    time: Place | None = None
    phone_form: Literal["e164", "digits"] = "e164"
    time_form: Literal["iso", "unix", "unix_ms"] = "iso"
    time_zone: Text = "UTC"


class ReceiptProfile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Where a delivery receipt stands in a call, and which states are final."""

    reference: Place | None = None
    gateway_ref: Place | None = None
    state: Place
    delivered: Annotated[list[str], Meta(min_length=1)]
    failed: list[str] = []
    reason: Place | None = None


class AnswerProfile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How the gateway's answer to a message is understood.

    taken, refused : HTTP statuses. Any other means: try again later.
    state : with it, a taken answer counts only when the value there is one of `taken_states`.
    """

    taken: Annotated[tuple[Status, ...], Meta(min_length=1)] = (200, 201, 202)
    refused: tuple[Status, ...] = (400, 404, 422)
    gateway_ref: AnswerPlace | None = None
    state: AnswerPlace | None = None
    taken_states: list[str] = []
    refused_states: list[str] = []


class OutboundProfile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """How a message is handed to the gateway. Texts may name {phone}, {text} ... and the secrets.

    timeout_s : for the connection and for each wait on the answer. [s]
    """

    url: Annotated[str, Meta(pattern=r"^https?://[^\s]+$")]
    method: Literal["POST", "PUT", "GET"] = "POST"
    body: Literal["form", "json", "query"] = "form"
    fields: dict[str, Any]
    headers: dict[str, str] = {}
    basic: tuple[str, str] | None = None
    secrets: dict[str, EnvName] = {}
    timeout_s: Annotated[float, Meta(gt=0, le=120)] = 15.0
    answer: AnswerProfile = AnswerProfile()


class Profile(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One gateway. `name` is part of its address: /gateways/<name>/messages."""

    name: Annotated[str, Meta(pattern=r"^[a-z0-9][a-z0-9-]{0,30}$")]
    region: Text | None = None
    drops_repeats: bool = False
    chat: bool = False
    check: SharedSecret | Hmac
    inbound: InboundProfile
    receipt: ReceiptProfile | None = None
    outbound: OutboundProfile


class Secrets(msgspec.Struct, frozen=True):
    """Values from the environment; kept apart so that a profile can be shown and logged."""

    check: str
    outbound: dict[str, str]

    def __repr__(self) -> str:
        return "Secrets(...)"


def read_profile(path: Path, environ: Mapping[str, str]) -> tuple[Profile, Secrets]:
    """Read a profile and its secrets. Raises BadFile with file, line, field and what was expected."""
    document = read_toml(path)
    profile = document.convert(Profile)
    for field, problem in _problems(profile):
        raise document.error(field, problem)
    return profile, _secrets(profile, document, environ)


def _problems(profile: Profile) -> Iterator[tuple[str, str]]:
    if profile.region not in {None, *phonenumbers.SUPPORTED_REGIONS}:
        yield "region", f"expected a country of two capital letters, got {profile.region!r}"
    try:
        ZoneInfo(profile.inbound.time_zone)
    except (KeyError, ValueError, OSError):
        yield "inbound.time_zone", f"expected a time zone such as UTC, got {profile.inbound.time_zone!r}"
    receipt = profile.receipt
    if receipt and (receipt.reference is None) == (receipt.gateway_ref is None):
        yield "receipt", "expected one of reference (ours) and gateway_ref (theirs)"
    if profile.outbound.answer.state and not profile.outbound.answer.taken_states:
        yield "outbound.answer.taken_states", "expected the states that mean the message was taken"
    if receipt and receipt.gateway_ref and not profile.outbound.answer.gateway_ref:
        yield "outbound.answer.gateway_ref", "expected, because the receipts name a message by it"
    yield from _template_problems(profile.outbound)


def _template_problems(outbound: OutboundProfile) -> Iterator[tuple[str, str]]:
    known = {*MESSAGE_VALUES, *outbound.secrets}
    parts = {
        "url": outbound.url,
        "fields": outbound.fields,
        "headers": outbound.headers,
        "basic": outbound.basic,
    }
    for part, template in parts.items():
        for field, text in _texts(template, f"outbound.{part}"):
            for name in _NAME.findall(text):
                if name not in known:
                    yield field, f"unknown {{{name}}}; known are {', '.join(sorted(known))}"
    named = {name for _, text in _texts(outbound.fields, "") for name in _NAME.findall(text)}
    for needed in ("text", "phone"):
        if needed not in {name.removesuffix("_digits") for name in named}:
            yield "outbound.fields", f"no field holds {{{needed}}}"


def _texts(template: Any, field: str) -> Iterator[tuple[str, str]]:
    if isinstance(template, str):
        yield field, template
    elif isinstance(template, dict):
        for key, value in template.items():
            yield from _texts(value, f"{field}.{key}")
    elif isinstance(template, (list, tuple)):
        for i, value in enumerate(template):
            yield from _texts(value, f"{field}[{i}]")


def fill(template: Any, values: Mapping[str, str]) -> Any:
    """A template with each {name} replaced, in every text of it; what is put in is not looked at again."""
    if isinstance(template, str):
        return _NAME.sub(lambda found: values[found.group(1)], template)
    if isinstance(template, dict):
        return {key: fill(value, values) for key, value in template.items()}
    if isinstance(template, (list, tuple)):
        return [fill(value, values) for value in template]
    return template


def _secrets(profile: Profile, document: Document, environ: Mapping[str, str]) -> Secrets:
    def secret(field: str, name: str) -> str:
        if not environ.get(name):
            raise document.error(
                field, f"expected a secret in the environment variable {name}, which is not set"
            )
        return environ[name]

    return Secrets(
        secret("check.secret_env", profile.check.secret_env),
        {key: secret(f"outbound.secrets.{key}", name) for key, name in profile.outbound.secrets.items()},
    )
