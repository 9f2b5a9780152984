"""The families of devices, one file each: a table of its facts and ``find``, which yields every
place where it may be heard. Which of them tell the line best is decided in ``choice``."""

from __future__ import annotations

from solowright.harmony.devices import (
    band,
    chord_arpeggio,
    chromatic_run,
    echo,
    enclosure,
    half_step_link,
    held_tone,
    pentatonic,
    scale_run,
    sequence,
    shape_shift,
    superimposed,
    technique,
    texture,
    upper_triad,
)

FAMILIES = (
    chord_arpeggio.find,
    upper_triad.find,
    superimposed.find,
    scale_run.find,
    chromatic_run.find,
    enclosure.find,
    shape_shift.find,
    sequence.find,
    half_step_link.find,
    pentatonic.find,
    texture.find,
    technique.find,
    held_tone.find,
    band.find,
    echo.find,
)
