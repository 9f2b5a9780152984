"""A plainer version of a line, for a student whose limit is lower.

The fingering says where the line is too hard, the reading which notes there carry the music. At every
move that asks for too much, the lightest note around it is left out and the one before is held over
it; then the line is fingered again, until the limit tempo is what was wished for. At the end whatever
can come back without harm comes back. Never touched: targets, strong beats, the first and last note of
a phrase, chords, and the band's hits and answers. Notes that are one place of a pattern (a sequence, a
shape moved along, a phrase said again) go together, so that the pattern stays one. Ornaments go first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import inf

from solowright.errors import InputError
from solowright.harmony.ground import BEAT, HALF_BAR, Ground, lay_out
from solowright.harmony.reading import read_line
from solowright.harmony.record import Reading
from solowright.lesson.patterns import find_twins
from solowright.music.line import Note, make_line
from solowright.music.tune import Tune
from solowright.neck import Fingering, Player, apply_path, finger
from solowright.work import Worked

SHARE = 0.75  # of the hand that the line was worked out for
MOST_ROUNDS = 60
_BESIDE = 2.0  # how much dearer a note is beside one that has gone already
_ON_BEAT = 3.0  # how much dearer a note is on a beat
_REPEATED = -3.0  # struck twice where once will do
# How much of the music a note carries by its role; the lightest go first (assumed).
_CARRIES = {
    "passing": 0.0, "neighbour": 0.0, "approach": 1.0, "enclosure": 2.0, "free": 1.0, "blue-note": 2.0,
    "anticipation": 2.0, "tension": 3.0, "suspension": 3.0, "pedal": 3.0, "chord-tone": 4.0,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Left:
    """A note of the full line (its place there) that was left out, and what it was to the music."""

    note: int
    what: str


@dataclass(frozen=True, slots=True)
class Plainer:
    """The plainer line worked out: ``wanted`` is the limit tempo it was to have. ``left`` are the notes
    of the full line that are not in it, ``trills`` those whose trill was dropped; ``targets`` is how
    many of the full line's targets it plays, and how many there are."""

    worked: Worked
    wanted: float
    left: tuple[Left, ...]
    trills: tuple[int, ...]
    targets: tuple[int, int]

    @property
    def reached(self) -> bool:
        """Whether the wish came true."""
        return self.worked.fingering.limit_tempo >= self.wanted


def make_plainer(
    tune: Tune, reading: Reading, share: float = SHARE, player: Player | None = None
) -> Plainer:
    """Makes a line plain enough for a hand that is ``share`` as quick as the player's.

    The limit tempo that is wished for is the tune's tempo over ``share``. Raises InputError for a share
    that isn't between 0.3 and 1, and for a line that no hand can play.
    """
    if not 0.3 <= share <= 1.0:
        raise InputError(f"a hand can't be {share:g} as quick; give a share from 0.3 to 1")
    wanted = tune.tempo.first / share
    thinning = _Thinning(tune, reading)
    gone = thinning.ornaments
    found = finger(thinning.tune(gone), player)
    for _ in range(MOST_ROUNDS):
        leaving = thinning.ease(gone, found, share) if found.limit_tempo < wanted else frozenset()
        if not leaving:
            break
        gone |= leaving
        found = finger(thinning.tune(gone), player)
    gone, found = _bring_back(thinning, gone, found, wanted, player)
    plain = thinning.tune(gone)
    if found.limit_tempo < wanted:
        hardest = finger(plain, player, objective="hardest")
        found = max(found, hardest, key=lambda each: each.limit_tempo)
    worked = Worked(apply_path(plain, found.paths[0]), found, read_line(plain))
    left = tuple(Left(place, thinning.what(place)) for place in sorted(gone))
    return Plainer(worked, wanted, left, thinning.trills, _targets(plain, tune, reading))


def _bring_back(
    thinning: _Thinning, gone: frozenset[int], found: Fingering, wanted: float, player: Player | None
) -> tuple[frozenset[int], Fingering]:
    """Puts back, dearest first, what went and needn't have: the limit may not fall under the wish, or
    where that stays out of reach not at all."""
    floor = min(wanted, found.limit_tempo)
    groups = {thinning.together(place) for place in gone - thinning.ornaments}
    for group in sorted(groups, key=lambda group: (-thinning.price(group), sorted(group))):
        fewer = gone - group
        tried = finger(thinning.tune(fewer), player)
        if tried.limit_tempo >= floor:
            gone, found = fewer, tried
    return gone, found


class _Thinning:
    """What may leave a line, at what price, and the line without it. Notes go by their places."""

    def __init__(self, tune: Tune, reading: Reading) -> None:
        ground = lay_out(tune)
        self.full, self.reading = tune, reading
        self.twins = find_twins(tune, reading)
        self.singles = {event.notes[0]: n for n, event in enumerate(ground.events) if event.single}
        self.order = [event.notes[0] for event in ground.events]
        self.number = {place: n for n, event in enumerate(ground.events) for place in event.notes}
        self.prices = _price_notes(ground, reading)
        notes = tune.line.notes
        self.ornaments = frozenset(place for place, note in enumerate(notes) if note.grace)
        self.trills = tuple(place for place, note in enumerate(notes) if note.trill)

    def price(self, group: frozenset[int]) -> float:
        """What it costs the music that a group goes."""
        return max(self.prices[place] for place in group)

    def together(self, place: int) -> frozenset[int]:
        """The note and those that went, or would go, with it."""
        twins = self.twins.get(place, (place,))
        return frozenset(t for t in twins if t == place or self.prices.get(t, inf) < inf)

    def ease(self, gone: frozenset[int], found: Fingering, share: float) -> frozenset[int]:
        """The notes to leave out next: the lightest around the hardest move of every bar that asks for
        more than ``share`` of the hand. Empty where nothing can go."""
        kept = [place for place in range(len(self.full.line.notes)) if place not in gone]
        hardest: dict[int, tuple[float, frozenset[int]]] = {}
        for place, placed in zip(kept, found.paths[0].notes, strict=True):
            if placed.load <= share:
                continue
            around = self._around(place, gone)
            if around:
                bar = self.full.chart.bar_index(placed.note.onset)
                lightest = min(around, key=lambda other: (self._now(other, gone), other))
                known = hardest.get(bar, (0.0, frozenset()))
                if placed.load > known[0]:
                    hardest[bar] = placed.load, self.together(lightest)
        return frozenset().union(*(group for _, group in hardest.values()))

    def _around(self, place: int, gone: frozenset[int]) -> list[int]:
        """The notes whose going does away with the move into a note, or gives it more time."""
        if place not in self.number:
            return []
        before = [other for other in self.order[: self.number[place]] if other not in gone]
        return [other for other in (*before[-1:], place) if self.prices.get(other, inf) < inf]

    def _now(self, place: int, gone: frozenset[int]) -> float:
        number = self.singles[place]
        beside = [self.order[n] for n in (number - 1, number + 1) if 0 <= n < len(self.order)]
        return self.price(self.together(place)) + _BESIDE * sum(other in gone for other in beside)

    def tune(self, gone: frozenset[int]) -> Tune:
        """The line without some notes: what stands before them rings on, what was slurred from them is
        free to be struck."""
        notes: list[Note] = []
        freed = held = False
        for place, note in enumerate(self.full.line.notes):
            if place in gone:
                if held and notes[-1].end == note.onset:
                    notes[-1] = replace(notes[-1], duration=note.end - notes[-1].onset)
                freed = True
                continue
            if freed and note.entry in ("hammer", "pull", "slide"):
                note = replace(note, entry=None, slurred=False)
            notes.append(replace(note, trill=0))
            held = place in self.singles and not note.staccato
            freed = False
        return replace(self.full, line=make_line(notes))

    def what(self, place: int) -> str:
        """What a note is to the music, in words."""
        notes = self.full.line.notes
        if notes[place].grace:
            return "grace note"
        number = self.singles[place]
        if number and notes[self.order[number - 1]].pitch.midi == notes[place].pitch.midi:
            return "repeated note"
        role = self.reading.notes[place].role
        return f"{role} note" if role in ("passing", "neighbour", "approach") else role.replace("-", " ")


def _price_notes(ground: Ground, reading: Reading) -> dict[int, float]:
    """What leaving each single note out would cost the music; inf where it must stay."""
    edges = {edge for first, stop in ground.phrases for edge in (first, stop - 1)}
    targets = {target.note for target in reading.targets}
    prices: dict[int, float] = {}
    for number, event in enumerate(ground.events):
        place = event.notes[0]
        bound = not event.single or event.weight >= HALF_BAR or number in edges or place in targets
        if bound or _with_band(ground.tune, place):
            prices[place] = inf
            continue
        role, degree = reading.notes[place].role, reading.notes[place].degree
        price = _CARRIES[role] + (_ON_BEAT if event.weight == BEAT else 0.0)
        price += 1.0 if degree in ("3", "b3", "7", "b7") else 0.0
        repeated = number > 0 and ground.events[number - 1].midi == event.midi
        prices[place] = price + (_REPEATED if repeated else 0.0)
    return prices


def _with_band(tune: Tune, place: int) -> bool:
    """Whether a note falls on one of the band's hits or on its written answer."""
    chart, onset = tune.chart, tune.line.notes[place].onset
    index = chart.bar_index(onset)
    return onset - chart.starts[index] in (*chart.bars[index].hits, *chart.bars[index].answer)


def _targets(plain: Tune, full: Tune, reading: Reading) -> tuple[int, int]:
    played = {(note.onset, note.pitch.midi) for note in plain.line.notes}
    targets = [full.line.notes[target.note] for target in reading.targets]
    return sum((note.onset, note.pitch.midi) in played for note in targets), len(targets)
