"""The families of devices, one file each: a table of its facts and ``find``, which yields every
place where it may be heard. Which of them tell the line best is decided in ``choice``.

Most families look at no more than the phrase at hand and the chords under and beside it, so that after
an edit only the phrases that changed are searched anew (``search``); the others compare phrases or need
the band.
"""

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

IN_PHRASE = (
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
)
IN_LINE = (band.find, echo.find)
