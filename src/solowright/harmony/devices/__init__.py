"""The families of devices, one file each: a table of its facts and ``find``, which yields every
place where it may be heard. Which of them tell the line best is decided in ``choice``.

Most families look at no more than the phrase at hand and the chart, so that after an edit only the
phrases that changed are searched anew; the others compare phrases or need the band.
"""

from __future__ import annotations

from dataclasses import replace

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
from solowright.harmony.devices.found import Found
from solowright.harmony.ground import Ground

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

Search = tuple[Ground, tuple[tuple[Found, ...], ...]]  # a line laid out, and what each phrase may hold


def search_phrases(ground: Ground, previous: Search | None = None) -> tuple[tuple[Found, ...], ...]:
    """All that the families of ``IN_PHRASE`` find, phrase by phrase. Phrases that were the same in the
    ``previous`` search keep what was found there."""
    kept = _keep(ground, previous) if previous else {}
    phrases = tuple(phrase for phrase in ground.phrases if phrase not in kept)
    starts = {first: place for place, (first, _) in enumerate(phrases)}
    stretches = tuple(stretch for stretch in ground.stretches if ground.phrase(stretch[0])[0] in starts)
    fresh: list[list[Found]] = [[] for _ in phrases]
    part = replace(ground, phrases=phrases, stretches=stretches)
    for find in IN_PHRASE if phrases else ():
        for device in find(part):
            fresh[starts[ground.phrase(device.start)[0]]].append(device)
    new = dict(zip(phrases, map(tuple, fresh), strict=True))
    return tuple(kept[phrase] if phrase in kept else new[phrase] for phrase in ground.phrases)


def _keep(ground: Ground, previous: Search) -> dict[tuple[int, int], tuple[Found, ...]]:
    """What was found in the phrases that haven't changed, at their places in the line as it is now."""
    old, found = previous
    same = (old.ticks, old.spans, old.tune.key) == (ground.ticks, ground.spans, ground.tune.key)
    if not same or old.tune.chart != ground.tune.chart:
        return {}
    before = {
        old.events[there[0]].start: (there, devices)
        for there, devices in zip(old.phrases, found, strict=True)
    }
    kept: dict[tuple[int, int], tuple[Found, ...]] = {}
    for phrase in ground.phrases:
        there, devices = before.get(ground.events[phrase[0]].start, ((0, 0), ()))
        if ground.is_same_phrase(phrase, old, there):
            moved = phrase[0] - there[0]
            kept[phrase] = tuple(_move(device, moved) for device in devices) if moved else devices
    return kept


def _move(device: Found, by: int) -> Found:
    return device._replace(start=device.start + by, stop=device.stop + by)
