"""The tables as the program ships them."""

from pathlib import Path

from bot.compost.diagnosis_cases import parse_cases
from bot.compost.diagnosis_table import parse_causes
from bot.compost.materials import parse_materials

DATA = Path(__file__).parents[2] / "bot" / "compost" / "data"
CAUSES_TEXT = (DATA / "causes.toml").read_text(encoding="utf-8")
TABLE = parse_causes(CAUSES_TEXT)
CASES = parse_cases((DATA / "causes_rows.toml").read_text(encoding="utf-8"), TABLE)
MATERIALS = parse_materials((DATA / "materials.toml").read_text(encoding="utf-8"))
