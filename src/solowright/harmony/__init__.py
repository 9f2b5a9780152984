"""What the line does against the chart: roles, targets, devices, and the reasons in words."""

from solowright.harmony.devices.upper_triad import UpperTriad, upper_triads
from solowright.harmony.reading import (
    Device,
    NoteReading,
    Reading,
    Sentence,
    read_line,
    read_spelled,
    reading_json,
)

__all__ = [
    "Device",
    "NoteReading",
    "Reading",
    "Sentence",
    "UpperTriad",
    "read_line",
    "read_spelled",
    "reading_json",
    "upper_triads",
]
