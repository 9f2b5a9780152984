"""The shortest telling of the line: which of all the devices found explain it together.

Devices may not overlap. The choice is exact (weighted interval scheduling): the least bits for the
first n events are the least of leaving the last one over and of ending a device there.
"""

from __future__ import annotations

from collections.abc import Iterable

from solowright.harmony.devices.found import NOTE_BITS, Found


def choose_devices(found: Iterable[Found], sizes: tuple[int, ...]) -> tuple[Found, ...]:
    """The set of devices with the least total bits, in order of time.

    ``sizes`` holds the notes of each event; an event that no device covers costs ``NOTE_BITS`` a
    note. Of equally short tellings the one with fewer, earlier found devices is taken.
    """
    ending: dict[int, list[Found]] = {}
    for candidate in found:
        ending.setdefault(candidate.stop, []).append(candidate)
    best = [0.0]
    last: list[Found | None] = [None]
    for stop, size in enumerate(sizes, 1):
        bits = best[-1] + size * NOTE_BITS
        device: Found | None = None
        for other in ending.get(stop, ()):
            total = best[other.start] + other.bits
            if total < bits - 1e-9:
                bits, device = total, other
        best.append(bits)
        last.append(device)
    chosen = []
    stop = len(sizes)
    while stop:
        ended = last[stop]
        if ended is None:
            stop -= 1
        else:
            chosen.append(ended)
            stop = ended.start
    return tuple(reversed(chosen))


def choose_runner_up(
    device: Found, found: Iterable[Found], sizes: tuple[int, ...]
) -> tuple[Found, ...]:
    """The next shortest telling of what ``device`` covers: by exact choice among all that lies inside
    it and is of another kind. Empty where nothing else shortens the telling."""
    inside = [
        other._replace(start=other.start - device.start, stop=other.stop - device.start)
        for other in found
        if other.start >= device.start and other.stop <= device.stop and other.kind != device.kind
    ]
    chosen = choose_devices(inside, sizes[device.start : device.stop])
    return tuple(
        other._replace(start=other.start + device.start, stop=other.stop + device.start) for other in chosen
    )
