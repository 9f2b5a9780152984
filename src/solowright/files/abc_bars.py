"""One voice of ABC music code to bars of notes: accidentals, lengths, tuplets, ties, slurs, marks.

Source: The abc music standard 2.1, section 4. Times are quarters; a bar's notes count from its start.
What the standard leaves to the reader, and what we do: an accidental holds to the end of the bar, by
default in every octave (``propagate`` "pitch", the standard's own default); a tie carries it over the
barline; a slur that is never closed, a tie without its second note and an unknown mark are remarks,
not errors, because the music is clear without them.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import chain

from solowright.files.abc_marks import JUMPS, SYMBOLS, apply_mark
from solowright.files.abc_strikes import Strike, VoiceBar
from solowright.files.abc_tokens import Token, read_length
from solowright.files.text import Report
from solowright.music.line import Note
from solowright.music.pitch import LETTERS, Interval, Pitch, Tone
from solowright.music.time import ZERO, Meter, Time

_SIGNS = {"^": 1, "_": -1, "=": 0}
_OPENERS = frozenset(
    ("note", "rest", "chord", "grace", "tuplet", "slur", "text", "mark", "symbol", "bar_rest")
)
_LONGEST = 4096  # quarters in one note: more is a typing slip


class VoiceReader:
    """Takes the signs of one voice in order and gathers ``bars``.

    ``unit`` is the unit note length in quarters; ``signature`` the alter of the letters C to B;
    ``full_bar`` gives the length of the bar at an index (for ``Z``). Findings go to ``report``,
    what was read past to ``remark``.
    """

    def __init__(
        self,
        report: Report,
        remark: Callable[[int, int, str], None],
        unit: Time,
        signature: Sequence[int],
        full_bar: Callable[[int], Time],
        meter: Meter | None = None,
        symbols: dict[str, str] | None = None,
        propagate: str = "pitch",
    ) -> None:
        self.report, self.remark = report, remark
        self.unit, self.signature, self.full_bar = unit, signature, full_bar
        self.meter, self.propagate = meter, propagate
        self.symbols = {**SYMBOLS, **(symbols or {})}
        self.shift = Interval(0, 0)  # from written to sounding pitch
        self.lines_end_bars = False  # whether a full bar at the end of a line needs no barline
        self._line = 0
        self.bars: list[VoiceBar] = []
        self._bar: VoiceBar | None = None
        self._opens, self._ending = False, frozenset[int]()
        self._memory: dict[int | tuple[int, int], int] = {}
        self._layer = 0
        self._carried: dict[int, dict[tuple[int, int], int]] = {}  # layer → alters that ties carry
        self._slurs: dict[int, list[tuple[Token, list[Strike]]]] = {}  # layer → open slurs so far
        self._marks: list[Token] = []
        self._outer_marks: list[Token] = []
        self._chord: Strike | None = None
        self._chord_start: Token | None = None
        self._in_grace = False
        self._tuplet = (Fraction(1), 0)
        self._broken: Fraction | None = None
        self._read: dict[str, Callable[[Token], None]] = {
            "bar": self._read_bar, "ending": self._read_ending, "tuplet": self._read_tuplet,
            "slur": self._open_slur, "slur_end": self._close_slur, "text": self._keep_sign,
            "field": self._keep_sign, "mark": self._read_mark, "symbol": self._read_mark,
            "grace": self._open_grace, "grace_end": self._close_grace, "note": self._read_note,
            "rest": self._read_rest, "bar_rest": self._read_bar_rest, "chord": self._open_chord,
            "chord_end": self._close_chord, "tie": self._read_tie, "broken": self._read_broken,
            "overlay": self._read_overlay, "stray": self._read_stray,
        }  # fmt: skip

    def take(self, token: Token) -> None:
        """Reads one sign."""
        if self.lines_end_bars and token.line != self._line and token.kind in _OPENERS:
            self._end_full_bar(token)
        self._line = token.line
        self._read[token.kind](token)

    def finish(self) -> list[VoiceBar]:
        """Closes what is open at the end of the voice and gives the bars."""
        if self._chord is not None and self._chord_start:
            self._problem(self._chord_start, "this chord is never closed; add ]")
        for start, _ in chain.from_iterable(self._slurs.values()):
            self._remark(start, "this slur is never closed and is left out; add )")
        self._end_bar()
        return self.bars

    def set_meter(self, meter: Meter | None) -> None:
        """Changes the meter, of the bar that is open too where it has no notes yet. None is free."""
        self.meter = meter
        if self._bar is not None and not any(self._bar.layers):
            self._bar.meter = meter

    # Reports

    def _problem(self, token: Token, text: str) -> None:
        self.report.add(token.line, token.column, text)

    def _remark(self, token: Token, text: str) -> None:
        self.remark(token.line, token.column, text)

    # Bars

    def _here(self, token: Token) -> VoiceBar:
        if self._bar is None:
            line, column = token.line, token.column
            self._bar = VoiceBar(line, column, self.meter, opens=self._opens, ending=self._ending)
            self._opens, self._ending = False, frozenset()
        return self._bar

    def _end_bar(self) -> None:
        if self._bar is not None and any(not s.grace for layer in self._bar.layers for s in layer):
            self.bars.append(self._bar)
            self._bar = None
        self._memory, self._layer, self._broken = {}, 0, None

    def _end_full_bar(self, token: Token) -> None:
        """Some old files leave the barline out where a bar ends with its line.

        Accidentals hold on there: such files count them from barline to barline as written.
        """
        bar = self._bar
        full = self.meter is not None and bar is not None and bar.length == self.meter.length
        if full and not self._broken:
            self._remark(token, "the bar before is full at the end of its line, where a barline is left out")
            memory = self._memory
            self._end_bar()
            self._memory = memory

    def _read_bar(self, token: Token) -> None:
        signs = token.text.lstrip(".")
        back = len(signs) - len(signs.lstrip(":"))
        on = len(signs) - len(signs.rstrip(":"))
        if back == len(signs):  # "::" closes one repeat and opens the next
            back, on = max(1, back // 2), 1
        if self._broken:
            self._problem(token, "a broken rhythm needs a note on each side, in one bar")
        self._end_bar()
        if self.bars:
            last = self.bars[-1]
            last.closes = max(last.closes, back)
            last.double = last.double or "||" in signs or "]" in signs or "[" in signs
        if on and self._bar is None:
            self._opens = True
        elif on and self._bar is not None:
            self._bar.opens = True

    def _read_ending(self, token: Token) -> None:
        numbers: set[int] = set()
        for part in token.part("numbers").split(","):
            first, _, last = part.partition("-")
            numbers.update(range(int(first), min(int(last or first), int(first) + 99) + 1))
        self._end_bar()
        self._ending = frozenset(numbers)
        if self._bar is not None:
            self._bar.ending = self._ending

    def _read_overlay(self, token: Token) -> None:
        bar = self._here(token)
        self._layer += 1
        bar.layers.append([])

    def _read_stray(self, token: Token) -> None:
        self._problem(token, f"'{token.text}' has no meaning in ABC music; remove it")

    def _keep_sign(self, token: Token) -> None:
        bar = self._here(token)
        bar.signs.append((len(bar.layers[0]), token))

    # Notes and rests

    def _length(self, token: Token, text: str) -> Fraction:
        try:
            length = read_length(text)
        except (ValueError, ZeroDivisionError):
            length = ZERO
        if not 0 < length <= _LONGEST:
            self._problem(token, f"'{text}' is not a note length; write a number such as 2, 3/2 or /2")
            return Fraction(1)
        return length

    def _alter(self, token: Token, letter: int, octave: int) -> int:
        sign = token.part("sign")
        place = letter if self.propagate == "pitch" else (letter, octave)
        if sign:
            alter = _SIGNS[sign[0]] * len(sign)
            if self.propagate != "not":
                self._memory[place] = alter
            return alter
        carried = self._carried.get(self._layer, {}).get((letter, octave))
        return carried if carried is not None else self._memory.get(place, self.signature[letter])

    def _read_note(self, token: Token) -> None:
        letter = LETTERS.index(token.part("step").upper())
        marks = token.part("octave")
        octave = 4 + token.part("step").islower() + marks.count("'") - marks.count(",")
        written = (letter, octave, self._alter(token, letter, octave))
        pitch = Pitch(Tone(letter, written[2]), octave).up(self.shift)
        if not 0 <= pitch.midi <= 127:
            self._problem(token, f"{pitch.name} lies outside the range of MIDI notes; check its octave marks")
            return
        length = self._length(token, token.part("length")) * self.unit
        note = self._mark(Note(pitch, ZERO, ZERO if self._in_grace else length), self._marks)
        self._marks = []
        if self._chord is not None:
            self._chord.notes.append(note)
            self._chord.tied.append(False)
            self._chord.written.append(written)
        elif self._in_grace:
            self._strike(token, Strike(ZERO, [note], [False], [written], grace=True))
        else:
            self._strike(token, Strike(length, [note], [False], [written]))

    def _read_rest(self, token: Token) -> None:
        self._marks = []
        if self._in_grace or self._chord is not None:
            self._problem(token, "a rest can't stand in a chord or among grace notes; remove it")
            return
        self._strike(token, Strike(self._length(token, token.part("rest_length")) * self.unit))

    def _read_bar_rest(self, token: Token) -> None:
        self._marks = []
        count = int(token.part("bars") or 1)
        if not 1 <= count <= 999:
            self._problem(token, f"'{token.text}' rests no number of bars that a tune has; write Z or Z4")
            return
        for index in range(count):
            if index:
                self._end_bar()
            self._strike(token, Strike(self.full_bar(len(self.bars))))

    def _strike(self, token: Token, strike: Strike) -> None:
        bar = self._here(token)
        if not strike.grace:
            factor, left = self._tuplet
            if left:
                strike.scale(factor)
                self._tuplet = (factor, left - 1)
            if self._broken:
                strike.scale(self._broken)
                self._broken = None
            self._carried.pop(self._layer, None)
        if strike.notes:
            for _, strikes in self._slurs.get(self._layer, ()):
                strikes.append(strike)
        bar.layers[self._layer].append(strike)

    def _last(self) -> Strike | None:
        """The note, chord or rest before, in this bar and layer; grace notes are looked through."""
        strikes = self._bar.layers[self._layer] if self._bar else []
        return next((strike for strike in reversed(strikes) if not strike.grace), None)

    # Chords, graces

    def _open_chord(self, token: Token) -> None:
        if self._chord is not None or self._in_grace:
            self._problem(token, "a chord can't stand in a chord or among grace notes; close that first")
            return
        self._chord, self._chord_start = Strike(ZERO), token
        self._outer_marks, self._marks = self._marks, []

    def _close_chord(self, token: Token) -> None:
        chord, self._chord = self._chord, None
        if chord is None:
            self._problem(token, "this ] closes no chord; remove it")
            return
        if not chord.notes:
            self._problem(token, "an empty chord; write its notes between [ and ]")
            return
        chord.notes = [self._mark(note, self._outer_marks) for note in chord.notes]
        chord.length = chord.notes[0].duration  # the standard: a chord lasts as its first note does
        chord.scale(self._length(token, token.part("chord_length")))
        self._outer_marks = []
        self._strike(token, chord)
        self._carry(chord)

    def _open_grace(self, token: Token) -> None:
        if self._in_grace or self._chord is not None:
            self._problem(token, "grace notes can't stand in a chord or among grace notes; close that first")
        self._in_grace = True
        self._outer_marks, self._marks = self._marks, []

    def _close_grace(self, token: Token) -> None:
        if not self._in_grace:
            self._problem(token, "this } closes no grace notes; remove it")
        self._in_grace = False
        self._marks, self._outer_marks = self._outer_marks, []

    # Marks, ties, slurs, rhythm

    def _read_mark(self, token: Token) -> None:
        self._marks.append(token)
        if self._mark_name(token) in JUMPS:
            self._keep_sign(replace(token, kind="jump", parts={"name": self._mark_name(token)}))

    def _mark_name(self, token: Token) -> str:
        return token.part("name") or token.part("old_name") or self.symbols.get(token.text, "nil")

    def _mark(self, note: Note, marks: list[Token]) -> Note:
        for token in marks:
            marked = apply_mark(note, self._mark_name(token), self.signature)
            if marked is None:
                self._remark(token, f"the mark '{token.text}' is not known here and is left out")
            else:
                note = marked
        return note

    def _read_tie(self, token: Token) -> None:
        if self._chord is not None and self._chord.notes:
            self._chord.tied[-1] = True
            return
        last = self._last()
        if self._in_grace or last is None or not last.notes:
            self._remark(token, "this tie follows no note and is left out")
            return
        last.tied = [True] * len(last.notes)
        self._carry(last)

    def _carry(self, strike: Strike) -> None:
        """A tied note's accidental holds for the note it is tied to, over the barline."""
        self._carried[self._layer] = {
            (letter, octave): alter
            for (letter, octave, alter), tied in zip(strike.written, strike.tied, strict=True)
            if tied
        }

    def _open_slur(self, token: Token) -> None:
        self._slurs.setdefault(self._layer, []).append((token, []))

    def _close_slur(self, token: Token) -> None:
        slurs = self._slurs.get(self._layer)
        if not slurs:
            self._remark(token, "this ) closes no slur and is left out")
            return
        _, strikes = slurs.pop()
        for strike in strikes[1:]:
            strike.slurred = True

    def _read_tuplet(self, token: Token) -> None:
        p = int(token.part("p"))
        q = int(token.part("q") or self._tuplet_time(p))
        count = int(token.part("r") or p)
        if not p or not q or max(p, q, count) > 999:
            self._problem(token, f"'{token.text}' is no tuplet; write such as (3 or (5:4:5")
            return
        self._tuplet = (Fraction(q, p), count)

    def _tuplet_time(self, p: int) -> int:
        """The standard's table (4.13): in the time of how many ``p`` notes are played."""
        compound = self.meter is not None and self.meter.unit == 8 and self.meter.beats % 3 == 0
        return {2: 3, 3: 2, 4: 3, 6: 2, 8: 3}.get(p, 3 if compound else 2)

    def _read_broken(self, token: Token) -> None:
        last = self._last()
        if last is None:
            self._problem(token, "a broken rhythm needs a note on each side, in one bar")
            return
        short = Fraction(1, 2 ** min(len(token.text), 9))
        first, second = (2 - short, short) if token.text[0] == ">" else (short, 2 - short)
        last.scale(first)
        self._broken = second
