"""A profile with a mistake is refused at the start, naming file, line and field."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from bot.datafile import BadFile
from bot.gateways import HttpGateway, read_gateways


def read(path: Path, text: str, environ: Mapping[str, str]) -> HttpGateway:
    path.write_text(text.format(port=1, drops_repeats="false"))
    return HttpGateway.read(path, environ)


@pytest.mark.parametrize(
    ("old", "new", "error"),
    [
        ('name = "harbour"', 'name = "Harbour One"', r"harbour\.toml, line 2: name: Expected `str` matching"),
        ('name = "harbour"', 'nam = "harbour"', r"line 2: nam: Object contains unknown field `nam`"),
        ('name = "harbour"', "", r"Object missing required field `name`"),
        ('name = "harbour"', "name = ", r"harbour\.toml, line 2: not TOML"),
        ('region = "GB"', 'region = "Britain"', r"line 4: region: expected a country of two capital letters"),
        ('kind = "hmac_sha256"', 'kind = "none"', r"check.*Invalid value 'none'"),
        ('"form:from"', '"from"', r"line 13: inbound\.phone: Expected `str` matching"),
        ('time = "form:at"', 'time_zone = "Mars"', r"inbound\.time_zone: expected a time zone such as UTC, got 'Mars'"),
        ('reference = "form:ref"', "", r"line 18: receipt: expected one of reference \(ours\) and gateway_ref"),
        ('to = "{{phone}}"', 'to = "{{fone}}"', r"line 29: outbound\.fields\.to: unknown \{fone\}; known are key, phone"),
        ('body = "{{text}}"', "", r"outbound\.fields: no field holds \{text\}"),
        ("timeout_s = 0.5", "timeout_s = 0", r"line 27: outbound\.timeout_s: Expected `float` > 0"),
        ("http://127.0.0.1", "ftp://127.0.0.1", r"outbound\.url: Expected `str` matching"),
        ("[outbound.answer]", '[outbound.answer]\nstate = "json:s"', r"taken_states: expected the states that mean"),
    ],
)  # fmt: skip
def test_mistakes(
    tmp_path: Path, profile_text: str, environ: dict[str, str], old: str, new: str, error: str
) -> None:
    assert old in profile_text
    with pytest.raises(BadFile, match=error):
        read(tmp_path / "harbour.toml", profile_text.replace(old, new), environ)


@pytest.mark.parametrize("variable", ["HARBOUR_SECRET", "HARBOUR_KEY"])
@pytest.mark.parametrize("value", [None, ""])
def test_a_secret_that_is_not_set_names_the_variable(
    tmp_path: Path, profile_text: str, environ: dict[str, str], variable: str, value: str | None
) -> None:
    del environ[variable]
    if value is not None:
        environ[variable] = value
    with pytest.raises(BadFile, match=rf"harbour\.toml, line \d+: .*variable {variable}, which is not set"):
        read(tmp_path / "harbour.toml", profile_text, environ)


def test_a_missing_file(tmp_path: Path) -> None:
    with pytest.raises(BadFile, match=r"none\.toml: cannot be read"):
        HttpGateway.read(tmp_path / "none.toml", {})


def test_two_gateways_of_one_name(tmp_path: Path, profile_text: str, environ: dict[str, str]) -> None:
    text = profile_text.format(port=1, drops_repeats="false")
    paths = [tmp_path / "one.toml", tmp_path / "two.toml"]
    for path in paths:
        path.write_text(text)
    with pytest.raises(BadFile, match=r"two\.toml: name: another gateway is called 'harbour'"):
        read_gateways(map(str, paths), environ)
    assert list(read_gateways([str(paths[0])], environ)) == ["harbour"]


def test_the_profile_of_the_documentation_is_valid(tmp_path: Path, environ: dict[str, str]) -> None:
    text = (Path(__file__).parents[2] / "docs" / "gateways.md").read_text(encoding="utf-8")
    (tmp_path / "harbour.toml").write_text(text.split("```toml\n")[1].split("```")[0])
    gateway = HttpGateway.read(tmp_path / "harbour.toml", environ)
    assert (gateway.name, gateway.drops_repeats) == ("harbour", True)
