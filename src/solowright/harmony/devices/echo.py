"""Echoes: a phrase said again later, at another pitch or with something changed.

Phrases are compared by their intervals (at another pitch) or their notes (varied), the likeness being
twice the notes in common over all notes of both.
"""

from __future__ import annotations

from collections.abc import Iterator
from difflib import SequenceMatcher

from solowright.harmony.devices.found import KIND_BITS, NOTE_BITS, Found, choice_bits
from solowright.harmony.ground import Ground

TRANSPOSED, VARIED = "transposed-phrase", "varied-echo"
SHORTEST = 5  # notes
LONGEST = 40  # notes
BACK = 12  # phrases: how long a listener keeps one in mind
LIKE = 0.7  # likeness of an echo
INTERVAL_BITS = 3.5
CHANGE_BITS = 2.0  # beside the note itself: where it is changed


def find(ground: Ground) -> Iterator[Found]:
    """For every phrase the best of the phrases before it that it echoes."""
    midi = [event.midi for event in ground.events]
    for number, (first, stop) in enumerate(ground.phrases):
        if not SHORTEST <= stop - first <= LONGEST:
            continue
        echoes = []
        for earlier in ground.phrases[max(0, number - BACK) : number]:
            if SHORTEST <= earlier[1] - earlier[0] <= LONGEST:
                echo = _compare(ground, midi, earlier, (first, stop))
                if echo is not None:
                    echoes.append(echo)
        if echoes:
            yield min(echoes, key=lambda found: found.bits)


def _compare(
    ground: Ground, midi: list[int], earlier: tuple[int, int], later: tuple[int, int]
) -> Found | None:
    old, new = midi[earlier[0] : earlier[1]], midi[later[0] : later[1]]
    place = ground.tune.chart.place(ground.time(ground.events[earlier[0]].start))
    of = {"bar": place.bar, "beat": float(place.beat)}
    bits = KIND_BITS + choice_bits(BACK)
    apart = new[0] - old[0]
    if len(old) == len(new) and apart and all(b - a == apart for a, b in zip(old, new, strict=True)):
        facts = {"of": of, "interval": apart}
        return Found(TRANSPOSED, later[0], later[1], bits + INTERVAL_BITS, facts)
    matcher = SequenceMatcher(None, old, new, autojunk=False)
    if matcher.real_quick_ratio() < LIKE or matcher.quick_ratio() < LIKE or matcher.ratio() < LIKE:
        return None
    changed = len(new) - sum(block.size for block in matcher.get_matching_blocks())
    facts = {"of": of, "similarity": round(matcher.ratio(), 2), "changed": changed}
    return Found(VARIED, later[0], later[1], bits + changed * (NOTE_BITS + CHANGE_BITS), facts)
