"""Which notes of a line are the same place of one pattern, so that what is done to one is done to all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from solowright.harmony.fact_words import place_of
from solowright.harmony.record import Device, Reading
from solowright.music.chart import Place
from solowright.music.time import Time
from solowright.music.tune import Tune

_MOVED = ("sequence", "shape-shift")


def find_twins(tune: Tune, reading: Reading) -> Mapping[int, tuple[int, ...]]:
    """For each note in a pattern (its place in the line) all that stand where it stands, itself too."""
    groups: dict[int, set[int]] = {}
    for device in reading.devices:
        for group in (*_cells(device), *_said_again(tune, device)):
            merged = set(group).union(*(groups.get(place, ()) for place in group))
            groups |= dict.fromkeys(merged, merged)
    return {place: tuple(sorted(group)) for place, group in groups.items()}


def _cells(device: Device) -> Iterator[list[int]]:
    """The first notes of every cell, the second ones, and so on."""
    times = device.facts.get("times")
    if device.kind not in _MOVED or not isinstance(times, int) or times < 2 or len(device.notes) % times:
        return
    size = len(device.notes) // times
    for place in range(size):
        yield [device.notes[cell * size + place] for cell in range(times)]


def _said_again(tune: Tune, device: Device) -> Iterator[list[int]]:
    """Each note of a phrase with the note of the phrase that it repeats at another pitch."""
    if device.kind != "transposed-phrase":
        return
    of = place_of(device.facts, "of")
    start = tune.chart.time(Place(int(of["bar"]), Time(of["beat"]).limit_denominator(48)))
    places = {note.onset: place for place, note in enumerate(tune.line.notes) if not note.grace}
    for place in device.notes:
        first = places.get(start + tune.line.notes[place].onset - device.start)
        if first is not None:
            yield [first, place]
