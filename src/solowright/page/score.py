"""A tune as it is written down: symbols, accidentals, and what is joined to what.

Heads are named ``n7`` for note 7 of the line, and ``n7.2.0`` for a part of it that is tied to, the
first symbol of the bar at index 2.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise

from solowright.music.chart import Bar
from solowright.music.line import Line, Note, make_line
from solowright.music.notation import Symbol, notate
from solowright.music.pitch import plain
from solowright.music.tune import Tune
from solowright.page.passage import Passage, is_slurred, signature


@dataclass(frozen=True)
class Score:
    """A passage with its written symbols, of the line and of the band, by bar of its cut tune."""

    passage: Passage
    bars: tuple[tuple[Symbol, ...], ...]
    band: tuple[tuple[Symbol, ...], ...]

    @property
    def tune(self) -> Tune:
        return self.passage.tune

    @property
    def shown(self) -> range:
        """The bars that are drawn, by index."""
        return range(self.passage.before, self.passage.before + self.passage.count)

    @cached_property
    def indices(self) -> dict[int, int]:
        """Place in the line by the identity of the note."""
        return {id(note): index for index, note in enumerate(self.tune.line.notes)}

    @cached_property
    def accidentals(self) -> dict[str, int]:
        """The alteration printed before each head that has one, by its name."""
        return dict(_printed_accidentals(self))

    @cached_property
    def slurs(self) -> tuple[tuple[int, int], ...]:
        """(first, last) notes by index of every run that is slurred together."""
        events = [[self.indices[id(note)] for note in event] for event in self.tune.line.events()]
        notes = self.tune.line.notes
        joined = [any(is_slurred(notes[index]) for index in event) for event in events]
        runs: list[tuple[int, int]] = []
        for (first, _), (second, joins) in pairwise(zip(events, joined, strict=True)):
            if not joins:
                continue
            if runs and runs[-1][1] == first[0]:
                runs[-1] = (runs[-1][0], second[0])
            else:
                runs.append((first[0], second[0]))
        return tuple(runs)

    @cached_property
    def joins(self) -> dict[int, int]:
        """For each slurred note by index, the one just before it on its string."""
        found = {}
        for index, note in enumerate(self.tune.line.notes):
            before = _string_before(self.tune.line, index) if is_slurred(note) else None
            if before is not None:
                found[index] = before
        return found

    @cached_property
    def chains(self) -> tuple[tuple[int, ...], ...]:
        """Notes by index that are slurred together on one string."""
        chains: dict[int, list[int]] = {}  # by the last note
        for index, before in self.joins.items():
            chain = chains.pop(before, [before])
            chain.append(index)
            chains[index] = chain
        return tuple(tuple(chain) for chain in chains.values())


def note_id(score: Score, note: Note, symbol: Symbol, bar: int, number: int) -> str:
    """The identifier of one written head: tied parts carry the bar and symbol they stand in."""
    index = score.indices[id(note)]
    return f"n{index}.{bar}.{number}" if symbol.tie_from else f"n{index}"


def write_score(passage: Passage) -> Score:
    """The passage's symbols. Raises InputError where a rhythm can't be written; its bar counts from the
    start of the cut."""
    return Score(passage, notate(passage.tune), notate(_band_part(passage.tune)))


def struck(bar: Bar) -> bool:
    """Whether the band has a written rhythm in the bar."""
    return bool(bar.hits or bar.answer)


def beats(bar: Bar) -> int:
    """How many of its meter's units a bar holds: the room that it gets where nothing is written."""
    return max(1, int(bar.length * bar.meter.unit / 4))


def _band_part(tune: Tune) -> Tune:
    """Hits and written answers as a rhythm: each as long as the beat it stands in has left."""
    notes = []
    for bar, start in zip(tune.chart.bars, tune.chart.starts, strict=False):
        offsets = sorted(set(bar.hits) | set(bar.answer))
        for offset, after in pairwise([*offsets, bar.length]):
            pulse = bar.meter.pulse
            beat_end = (offset // pulse + 1) * pulse
            notes.append(Note(plain(71), start + offset, min(after, beat_end, bar.length) - offset))
    return replace(tune, line=make_line(notes))


def _printed_accidentals(score: Score) -> Iterator[tuple[str, int]]:
    """An accidental holds for its own line or space to the end of the bar. It is printed again as a
    reminder where another octave or the bar before had another one. Common practice, no source."""
    signed = signature(score.tune)
    before: dict[int, int] = {}
    for index, symbols in enumerate(score.bars):
        if index == score.passage.before:
            before = dict(score.passage.signs)
        here: dict[int, int] = {}
        for symbol in symbols:
            for note in (*symbol.graces, *(() if symbol.tie_from else symbol.notes)):
                height, alter = note.pitch.height, note.pitch.tone.alter
                plain_alter = signed.get(note.pitch.tone.letter, 0)
                octaves = {here[other] for other in here if (other - height) % 7 == 0} - {alter}
                unsure = before.get(height, plain_alter) != alter or octaves
                if here.get(height, plain_alter) != alter or (height not in here and unsure):
                    yield f"n{score.indices[id(note)]}", alter
                here[height] = alter
        before = here


def _string_before(line: Line, index: int) -> int | None:
    """The note on the same string in the event just before; where strings are unknown, any note."""
    note = line.notes[index]
    moment = None
    for other in range(index - 1, -1, -1):
        earlier = line.notes[other]
        if earlier.onset == note.onset and earlier.grace == note.grace and not note.grace:
            continue
        here = (earlier.onset, other if earlier.grace else -1)
        moment = moment or here
        if here != moment:
            return None
        if note.string is None or earlier.string is None or earlier.string == note.string:
            return other
    return None
