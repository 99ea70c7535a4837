"""The calculation core: from what lies in the yard to compost on the field. Pure; see README.md."""

from .diagnosis import Diagnosis, Evidence, RankedCause, diagnose
from .diagnosis_remedy import PileNow, Remedy, believed_moisture, remedy
from .diagnosis_table import CauseTable, parse_causes

__all__ = [
    "CauseTable",
    "Diagnosis",
    "Evidence",
    "PileNow",
    "RankedCause",
    "Remedy",
    "believed_moisture",
    "diagnose",
    "parse_causes",
    "remedy",
]
