"""A plainer version of a showy passage, worked out: its targets, and between them a chord tone a beat.

What is kept (common practice, no source): every target at its own moment; on each beat of a rhythm half as
fast the note that stands there, or where that is foreign to the chord a chord tone of the same figure.
Where one shape moves or an open string drones, the notes on the beats are the tune of it and stay. Notes
together become their top note; trills, taps and harmonics become plain notes. The result is fingered
with its neighbours held where they are, and read again.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence, Set
from dataclasses import replace
from itertools import pairwise
from math import inf
from statistics import median

from solowright.errors import InputError
from solowright.form.record import Passage, Plainer
from solowright.form.strikes import Strike
from solowright.harmony import Reading, read_line
from solowright.harmony.devices.found import RELATIONS
from solowright.music.chart import Chart, ChordAt, Section
from solowright.music.line import Line, Note, make_line
from solowright.music.time import ZERO, TempoMap, Time
from solowright.music.tune import Tune
from solowright.neck import Path, Placed, Player, apply_path, finger

SKELETON = ("shape-shift", "open-string-figure")
BELONGS = ("chord-tone", "anticipation")
NEAR = Time(4)  # quarters around a passage that are fingered and read with it
PLAIN_PACE = Time(1)  # quarters between attacks: a passage this slow keeps its rhythm
REST = Time(1, 2)  # quarters of silence that a listener hears as a rest
TWICE = Time(19, 10)  # as slow as the figure, near enough


def make_plainer(
    tune: Tune,
    path: Path,
    reading: Reading,
    strikes: Sequence[Strike],
    passage: Passage,
    player: Player | None = None,
) -> Plainer | None:
    """The plainer version of a passage; None where it is plain already or can't be fingered."""
    held = set(passage.notes)
    inside = [strike for strike in strikes if held & set(strike.notes)]
    chosen = choose_notes(tune, reading, inside, passage.kind in SKELETON)
    plain = _write(tune, inside, chosen)
    if len(plain) == len(passage.notes) and all(
        note.pitch == tune.line.notes[place].pitch and not tune.line.notes[place].trill
        and tune.line.notes[place].entry not in ("tap", "harmonic")
        for note, place in zip(plain, passage.notes, strict=True)
    ):  # fmt: skip
        return None
    around, follower = _neighbours(tune, path, passage)
    excerpt, start = _excerpt(tune, [*around, *plain])
    moments = {(note.onset - start, note.pitch.midi) for note in plain}
    found = _finger(excerpt, moments, tune.tempo.first, player)
    if found is None:
        return None
    fingered, places, limit = found
    before = max((path.notes[place].load for place in (*passage.notes, *follower)), default=0.0)
    return Plainer(
        passage.notes,
        tuple(
            replace(fingered.line.notes[place], onset=fingered.line.notes[place].onset + start)
            for place in places
        ),
        tuple(place for place, onset in chosen if onset == tune.line.notes[place].onset),
        tune.tempo.first / before if before else inf,
        limit,
        *_read(fingered, places),
    )


def with_plainer(tune: Tune, plainer: Plainer) -> Tune:
    """The tune with a plainer passage in place of its own."""
    gone = set(plainer.places)
    first = tune.line.notes[plainer.places[0]].onset
    last = tune.line.notes[plainer.places[-1]].onset
    stay = [
        note for place, note in enumerate(tune.line.notes)
        if place not in gone and not (note.grace and first <= note.onset <= last)
    ]  # fmt: skip
    return replace(tune, line=make_line([*_freed(stay, last), *plainer.notes]))


def choose_notes(
    tune: Tune, reading: Reading, inside: Sequence[Strike], as_it_stands: bool = False
) -> list[tuple[int, Time]]:
    """The notes that stay, as (place in the line, when it is played now). ``as_it_stands``: the notes on
    the beats stay even where they are foreign to the chord."""
    targets = {landing.note for landing in reading.targets}
    gaps = [after.start - before.start for before, after in pairwise(inside)]
    pace = median(gaps) if gaps else PLAIN_PACE
    if pace >= PLAIN_PACE:
        return [(_top(tune, strike), strike.start) for strike in inside]
    pulse = tune.chart.bars[inside[0].bar].meter.pulse
    step = next(step for step in (pulse / 2, pulse, 2 * pulse) if step >= TWICE * pace or step == 2 * pulse)
    chosen: dict[Time, int] = {}
    for begin, cell in _cells(tune, inside, step):
        aimed = [strike for strike in cell if targets & set(strike.notes)]
        chosen |= {strike.start: _top(tune, strike) for strike in aimed}
        before = [strike for strike in cell if not aimed or strike.start < aimed[0].start]
        if before:
            on_beat, place = _on_beat(tune, reading, before, begin, step, as_it_stands)
            chosen[on_beat] = place
    return [(place, onset) for onset, place in sorted(chosen.items())]


def _cells(tune: Tune, inside: Sequence[Strike], step: Time) -> list[tuple[Time, list[Strike]]]:
    """The strikes of each step of the plainer rhythm, counted from the barlines."""
    cells: dict[Time, list[Strike]] = {}
    for strike in inside:
        start = tune.chart.starts[strike.bar]
        begin = start + (strike.start - start) // step * step
        cells.setdefault(begin, []).append(strike)
    return list(cells.items())


def _on_beat(
    tune: Tune, reading: Reading, cell: Sequence[Strike], begin: Time, step: Time, as_it_stands: bool
) -> tuple[Time, int]:
    """When a step's note is played and which it is: on the beat where the figure has a note there, else on
    the half of the step, else where the figure comes in."""
    plain = [strike for strike in cell if (strike.start - begin) % (step / 2) == 0]
    first = plain[0] if plain else cell[0]
    tops = [_top(tune, strike) for strike in cell if strike.start >= first.start]
    if as_it_stands:
        return first.start, tops[0]
    chord_tones = (place for place in tops if reading.notes[place].role in BELONGS)
    return first.start, next(chord_tones, tops[0])


def _top(tune: Tune, strike: Strike) -> int:
    return max(strike.notes, key=lambda place: tune.line.notes[place].pitch.midi)


def _write(tune: Tune, inside: Sequence[Strike], chosen: Sequence[tuple[int, Time]]) -> list[Note]:
    """The chosen notes at their moments, each held to the next one or to where the figure rests."""
    ends = [onset for _, onset in chosen[1:]] + [inside[-1].end]
    notes = []
    for (place, onset), end in zip(chosen, ends, strict=True):
        sounds = onset
        for strike in inside:
            if onset < strike.end and strike.start < sounds + REST:
                sounds = max(sounds, strike.end)
        note = tune.line.notes[place]
        notes.append(
            replace(
                note, onset=onset, duration=min(end, sounds) - onset, string=None, fret=None, finger=None,
                entry=None, slurred=False, stroke=None, trill=0, slide_from=0, slide_to=0, let_ring=False,
            )
        )  # fmt: skip
    return notes


def _neighbours(tune: Tune, path: Path, passage: Passage) -> tuple[list[Note], tuple[int, ...]]:
    """The notes around a passage where the hand has them, and the places of what follows it at once."""
    line, held = tune.line.notes, set(passage.notes)
    first, last = (line[passage.notes[end]].onset for end in (0, -1))
    begin = bisect_left(line, first - NEAR, key=_onset)
    stop = bisect_right(line, last + NEAR, key=_onset)
    stay = [
        _held(line[place], path.notes[place]) for place in range(begin, stop)
        if place not in held and not (line[place].grace and first <= line[place].onset <= last)
    ]  # fmt: skip
    after = bisect_right(line, last, key=_onset)
    end = bisect_right(line, line[after].onset, key=_onset) if after < len(line) else after
    return _freed(stay, last), tuple(range(after, end))


def _onset(note: Note) -> Time:
    return note.onset


def _held(note: Note, placed: Placed) -> Note:
    """The note locked where the hand has it."""
    used = note.finger if placed.entry == "tap" or note.dead else placed.finger
    return replace(note, string=placed.string, fret=placed.fret, finger=used, entry=placed.entry)


def _freed(notes: Sequence[Note], last: Time) -> list[Note]:
    """The notes with what follows the passage struck anew: a slur from a note that is gone can't stay."""
    following = min((note.onset for note in notes if note.onset > last), default=None)
    return [
        replace(note, entry=None, slurred=False)
        if note.onset == following and note.entry in ("hammer", "pull", "slide") else note
        for note in notes
    ]  # fmt: skip


def _excerpt(tune: Tune, notes: Sequence[Note]) -> tuple[Tune, Time]:
    """The bars that some notes of a tune stand in, with these notes alone, and where they begin."""
    chart = tune.chart
    line = make_line(list(notes)).notes
    first, last = (chart.bar_index(note.onset) for note in (line[0], line[-1]))
    start, end = chart.starts[first], chart.starts[last + 1]
    opening, *bars = chart.bars[first : last + 1]
    if not opening.chords or opening.chords[0].offset:
        opening = replace(opening, chords=(ChordAt(ZERO, chart.chord_at(start)), *opening.chords))
    pickup = chart.pickup and first == 0
    cut = Chart((Section("", (opening, *bars)),), pickup, chart.number(first) + pickup)
    tempos = [(time - start, bpm) for time, bpm in tune.tempo.changes if start < time < end]
    moved = Line(tuple(replace(note, onset=note.onset - start) for note in line))
    tempo = TempoMap(((ZERO, tune.tempo.at(start)), *tempos))
    return replace(tune, chart=cut, line=moved, tempo=tempo), start


def _finger(
    tune: Tune, moments: Set[tuple[Time, int]], tempo: float, player: Player | None
) -> tuple[Tune, list[int], float] | None:
    """The excerpt under the hand, the places of its plain notes by (onset, MIDI), and the limit tempo of the
    moves into them and out of the last; None where no hand can play it."""
    try:
        path = finger(tune, player).paths[0]
    except InputError:
        return None
    line = tune.line.notes
    places = [place for place, note in enumerate(line) if (note.onset, note.pitch.midi) in moments]
    after = line[places[-1] + 1 :]
    out = [place for place, note in enumerate(line) if after and note.onset == after[0].onset]
    load = max((path.notes[place].load for place in (*places, *out)), default=0.0)
    return apply_path(tune, path), places, tempo / load if load else inf


def _read(tune: Tune, places: Sequence[int]) -> tuple[tuple[str | None, ...], tuple[str, ...]]:
    """The degrees of the plain notes, and what the reading says they are made of and lead to."""
    reading = read_line(tune)
    first, last = (tune.line.notes[places[end]].onset for end in (0, -1))
    beside = {device.sentence for device in reading.devices if device.kind in RELATIONS}
    told = [sentence for sentence in reading.sentences if first <= sentence.start <= last]
    return tuple(reading.notes[place].degree for place in places), tuple(
        sentence.text for sentence in told if sentence.text not in beside
    )
