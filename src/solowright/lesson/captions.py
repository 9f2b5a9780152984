"""What is read while the music plays: which reasons there is time for, and when, as WebVTT.

Every caption comes in with the note it speaks of. There is never time for all of them, so the best set
is chosen exactly: what is worth most, at its full length or by its short name, with each left standing
long enough to be read. Seconds count from the start of the audio.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from textwrap import wrap

from solowright.harmony.record import Reading
from solowright.music.time import Time
from solowright.music.tune import Tune

READING = 17.0  # characters a second; captions are commonly held to 15–20 (from memory)
SHORTEST, LONGEST = 1.0, 6.0  # seconds that one stands
GAP = 0.08  # seconds without any between two, so that a change is seen
LINE = 46  # characters
_NAMED = 0.3  # worth of a short name beside the whole sentence
_PLAIN = {"chord-arpeggio": 0.4, "band-hit": 0.6}  # worth of what a student sees without being told
_LANDING = 0.5  # worth of a sentence about where a phrase comes to rest


@dataclass(frozen=True, slots=True)
class Cue:
    """A caption from second ``start`` to ``end``; ``note`` is the written time it comes in with."""

    start: float
    end: float
    text: str
    note: Time


@dataclass(frozen=True, slots=True)
class _Wish:
    """A text that would like to be read, from when, how long it takes, what it is worth."""

    at: Time
    start: float
    text: str
    worth: float

    @property
    def end(self) -> float:
        return self.start + max(SHORTEST, len(self.text) / READING)


def make_cues(
    tune: Tune, reading: Reading, seconds: Callable[[Time], float], until: float
) -> tuple[Cue, ...]:
    """The captions of a reading. ``seconds`` tells when a written time is heard, ``until`` when all ends."""
    chosen = _choose([wish for wish in _wishes(tune, reading, seconds) if wish.end <= until])
    stops = [wish.start for wish in chosen[1:]] + [until + GAP]
    return tuple(
        Cue(wish.start, min(stop - GAP, max(wish.end, wish.start + LONGEST)), wish.text, wish.at)
        for wish, stop in zip(chosen, stops, strict=True)
    )


def _wishes(tune: Tune, reading: Reading, seconds: Callable[[Time], float]) -> Iterable[_Wish]:
    """Each sentence, and each device by its short name in its place."""
    longest = max((device.saved for device in reading.devices), default=1.0) or 1.0
    worths = {
        device.sentence: _PLAIN.get(device.kind, 1.0) * (1.0 + device.saved / longest)
        for device in reading.devices
    }
    for sentence in reading.sentences:
        start, worth = seconds(sentence.start), worths.get(sentence.text, _LANDING)
        yield _Wish(sentence.start, start, sentence.text, worth)
    for device in reading.devices:
        if device.short and device.kind not in _PLAIN:
            bar = tune.chart.place(device.start).bar
            text = device.short if device.short.startswith("bar ") else f"Bar {bar}: {device.short}"
            yield _Wish(device.start, seconds(device.start), text, _NAMED * worths[device.sentence])


def _choose(wishes: Sequence[_Wish]) -> list[_Wish]:
    """The set of texts that is worth most, none of which runs into the next (weighted intervals)."""
    ordered = sorted(wishes, key=lambda wish: wish.end)
    ends = [wish.end + GAP for wish in ordered]
    best: list[tuple[float, list[_Wish]]] = [(0.0, [])]
    for index, wish in enumerate(ordered):
        before = bisect_right(ends, wish.start, 0, index)
        with_it = best[before][0] + wish.worth
        if with_it > best[-1][0]:
            best.append((with_it, [*best[before][1], wish]))
        else:
            best.append(best[-1])
    return best[-1][1]


def write_vtt(cues: Iterable[Cue]) -> str:
    """The captions as a WebVTT file (W3C WebVTT)."""
    blocks = ["WEBVTT"]
    for number, cue in enumerate(cues, 1):
        blocks.append(f"{number}\n{_clock(cue.start)} --> {_clock(cue.end)}\n{_escaped(broken(cue.text))}")
    return "\n\n".join(blocks) + "\n"


def broken(text: str) -> str:
    """A caption on as few lines as hold it, of even length."""
    count = len(wrap(text, LINE))
    for width in range(len(text) // max(1, count), LINE + 1):
        lines = wrap(text, width)
        if len(lines) <= count:
            return "\n".join(lines)
    return "\n".join(wrap(text, LINE))


def _clock(seconds: float) -> str:
    ms = round(seconds * 1000)
    return f"{ms // 3_600_000:02}:{ms // 60_000 % 60:02}:{ms // 1000 % 60:02}.{ms % 1000:03}"


def _escaped(text: str) -> str:
    return text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
