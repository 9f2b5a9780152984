"""Short lines for the tests: pitches typed by name, evenly spaced."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from solowright.music.chart import Bar, Chart, Section
from solowright.music.line import Note, make_line
from solowright.music.pitch import parse_pitch, plain
from solowright.music.time import steady
from solowright.music.tune import Tune
from solowright.neck import Fretboard, Path, Player
from solowright.neck.moments import find_events, make_moments
from solowright.neck.search import Lattice
from solowright.neck.steps import make_steps


def make_tune(notes: list[Note], bpm: float = 100, **more) -> Tune:
    end = max((note.end for note in notes), default=Fraction(0))
    bars = (Bar(),) * (int(end // 4) + 1)
    return Tune("", Chart((Section("", bars),)), make_line(notes), tempo=steady(bpm), **more)


def run(text: str, value: Fraction = Fraction(1, 2), bpm: float = 100, **more) -> Tune:
    """Notes one after the other: ``C3 E3+G3 - C4``; ``+`` joins notes struck together, ``-`` rests."""
    notes = []
    for index, word in enumerate(text.split()):
        if word != "-":
            notes += [Note(parse_pitch(name), index * value, value) for name in word.split("+")]
    return make_tune(notes, bpm, **more)


def run_midi(pitches: list[int], value: Fraction = Fraction(1, 2), bpm: float = 100, **more) -> Tune:
    notes = [Note(plain(midi), index * value, value) for index, midi in enumerate(pitches)]
    return make_tune(notes, bpm, **more)


def lock(tune: Tune, index: int, **fields) -> Tune:
    notes = list(tune.line.notes)
    notes[index] = replace(notes[index], **fields)
    return replace(tune, line=make_line(notes))


def make_lattice(tune: Tune, player: Player) -> Lattice:
    board = Fretboard(tune.tuning, tune.capo, player.frets, player.scale)
    moments = make_moments(tune, find_events(tune), board, player)
    return Lattice(moments, make_steps(moments))


def spots(path: Path) -> list[tuple[int, int, int]]:
    return [(note.string, note.fret, note.finger) for note in path.notes]


def tab(path: Path) -> str:
    """``A5(1)``-like: string number, fret, finger, and the entry's first letter unless picked."""
    marks = {"pick": "", "hammer": "h", "pull": "p", "slide": "s", "tap": "t", "harmonic": "o"}
    return " ".join(f"{marks[n.entry]}{n.string}/{n.fret}({n.finger})" for n in path.notes)
