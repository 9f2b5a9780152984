"""The families of devices, one file each: a table of its facts and ``find``, which yields every
place where it may be heard. Which of them tell the line best is decided in ``choice``."""

from __future__ import annotations

from solowright.harmony.devices import chord_arpeggio, chromatic_run, enclosure, scale_run, upper_triad

FAMILIES = (chord_arpeggio.find, upper_triad.find, scale_run.find, chromatic_run.find, enclosure.find)
