"""Playing with the band: on its hits, sliding into one, leaving it room to answer, replying to it.

Hits and answers are those the chart writes.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from itertools import pairwise

from solowright.harmony.devices.found import Found
from solowright.harmony.ground import Ground
from solowright.music.time import Time

SLIDE, HIT, ANSWER = "slide-into-hit", "band-hit", "answer"
HITS = 2  # in a row, to be more than a coincidence
SLIDE_BITS = 2.0
HITS_BITS = 2.0
HIT_NOTE_BITS = 1.5
ANSWER_BITS = 2.5
REPLY = 4  # quarters between the line and the band's answer, within which one is heard as a reply


def find(ground: Ground) -> Iterator[Found]:
    """Every device that needs the band."""
    hits = _hits(ground)
    if hits:
        yield from _slides(ground, hits)
        yield from _with_hits(ground, hits)
    yield from _answers(ground)


def _hits(ground: Ground) -> frozenset[int]:
    chart = ground.tune.chart
    times = [start + hit for start, bar in zip(chart.starts, chart.bars, strict=False) for hit in bar.hits]
    return frozenset(int(time * ground.ticks) for time in times if (time * ground.ticks).denominator == 1)


def _slides(ground: Ground, hits: frozenset[int]) -> Iterator[Found]:
    for index, event in enumerate(ground.events):
        slides = any(
            note.entry == "slide" or note.slide_from
            for note in (ground.tune.line.notes[place] for place in event.notes)
        )
        if slides and event.start in hits:
            yield Found(SLIDE, index, index + 1, SLIDE_BITS, {"target": ground.name(index)})


def _with_hits(ground: Ground, hits: frozenset[int]) -> Iterator[Found]:
    """Notes that fall on hits one after the other, with no hit between them left out."""
    start = 0
    events = ground.events
    following = dict(pairwise(sorted(hits)))
    while start < len(events):
        end = start
        while end < len(events) and events[end].start in hits:
            if end > start and following.get(events[end - 1].start) != events[end].start:
                break
            end += 1
        if end - start >= HITS:
            notes = sum(len(event.notes) for event in events[start:end])
            yield Found(HIT, start, end, HITS_BITS + HIT_NOTE_BITS * notes, _tell_hits(ground, start, end))
        start = max(end, start + 1)


def _tell_hits(ground: Ground, start: int, stop: int) -> dict[str, object]:
    """How many hits, what is struck on each, from below, and where it is the same over one chord, what
    it is to the chord."""
    line = ground.tune.line.notes
    struck = [
        [line[place].pitch.name for place in reversed(event.notes)] for event in ground.events[start:stop]
    ]
    over = [ground.colours(index) for index in range(start, stop)]
    chords = [colours.chord.symbol if colours else None for colours in over]
    full = [
        colours is not None and len(event.notes) > 2 and colours.filled_by(event.pitches)
        for colours, event in zip(over, ground.events[start:stop], strict=True)
    ]
    facts: dict[str, object] = {
        "hits": stop - start, "struck": struck, "chords": chords, "full": full, "notes": [], "degrees": [],
        "over": None,
    }  # fmt: skip
    first = ground.events[start]
    colours = ground.colours(start)
    same = all(
        (event.pitches, event.span) == (first.pitches, first.span) for event in ground.events[start:stop]
    )
    if same and colours is not None:
        facts["notes"] = struck[0]
        facts["degrees"] = [colours.names[pitch % 12] for pitch in sorted(first.pitches)]
        facts["over"] = colours.chord.symbol
    return facts


def _answers(ground: Ground) -> Iterator[Found]:
    """Around every answer of the band that the line leaves room for: the phrase that it answers, at its
    last note, and the phrase that replies, at its first."""
    chart = ground.tune.chart
    onsets = [event.start for event in ground.events]
    for number, bar in enumerate(chart.bars):
        if not (bar.answered or bar.answer):
            continue
        offsets = bar.answer or (Time(0), bar.length)  # where no rhythm is written, all of the bar
        first = (chart.starts[number] + offsets[0]) * ground.ticks
        last = (chart.starts[number] + offsets[-1]) * ground.ticks
        before, after = bisect_left(onsets, first), bisect_left(onsets, last)
        if before != after:
            continue  # the line plays on
        to = {"bar": chart.number(number), "beat": float(1 + offsets[0] + chart.lead_in(number))}
        room = REPLY * ground.ticks
        answered = before > 0 and first - ground.events[before - 1].end <= room
        if answered:
            yield Found(ANSWER, before - 1, before, ANSWER_BITS, {"to": to, "how": "answered"})
        opens = after < len(onsets) and ground.phrase(after)[0] == after
        if opens and onsets[after] <= last + room:
            how = "replies" if answered else "waits"
            yield Found(ANSWER, after, after + 1, ANSWER_BITS, {"to": to, "how": how})
