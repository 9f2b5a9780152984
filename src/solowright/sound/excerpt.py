"""What part of a tune is heard, and which sample every written time falls on.

An excerpt is a run of whole bars at a tempo, with a bar of clicks before it where one is counted in
and room after the tune's last bar for the last chord to die away.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from solowright.errors import InputError
from solowright.music.time import ZERO, Time
from solowright.music.tune import Tune
from solowright.sound.string import SAMPLE_RATE

SLOWEST, FASTEST = 15.0, 500.0  # quarter notes a minute that make sense to play
LONGEST_HELD = 20 * 60.0  # seconds of audio held in memory at once
LONGEST = 2 * 60 * 60.0  # seconds of audio written to a file
RING_OUT = 2.5  # seconds after the tune's last bar


@dataclass(frozen=True)
class Excerpt:
    """Bars ``first`` to ``last`` (indices into the chart's played bars, both included) of ``tune``."""

    tune: Tune
    first: int
    last: int
    counted: bool
    clicked: bool = False  # a click on every beat, not only before the first

    @property
    def start(self) -> Time:
        return self.tune.chart.starts[self.first]

    @property
    def end(self) -> Time:
        return self.tune.chart.starts[self.last + 1]

    @property
    def whole(self) -> bool:
        """Whether the tune's ending is in it."""
        return self.last == len(self.tune.chart.bars) - 1

    @cached_property
    def clicks(self) -> tuple[tuple[float, bool], ...]:
        """Seconds from the start of the audio of each click, and whether it is a "one".

        The count-in is one bar of the first bar's meter, and before a pickup also the beats that the
        pickup lacks.
        """
        return (*self._count_in, *(self._beats if self.clicked else ()))

    @property
    def _beats(self) -> tuple[tuple[float, bool], ...]:
        found: list[tuple[float, bool]] = []
        for index in range(self.first, self.last + 1):
            bar, lead_in = self.tune.chart.bars[index], self.tune.chart.lead_in(index)
            start = self.tune.chart.starts[index] - lead_in
            found += [
                (self.sample(start + n * bar.meter.pulse) / SAMPLE_RATE, n == 0)
                for n in range(-(-(lead_in + bar.length) // bar.meter.pulse))
                if n * bar.meter.pulse >= lead_in
            ]
        return tuple(found)

    @property
    def _count_in(self) -> tuple[tuple[float, bool], ...]:
        if not self.counted:
            return ()
        meter = self.tune.chart.bars[self.first].meter
        quarter = 60.0 / self.tune.tempo.at(self.start)
        found, beat = [], ZERO
        while beat < self._counted_length:
            found.append((float(beat) * quarter, beat % meter.length == 0))
            beat += meter.pulse
        return tuple(found)

    @property
    def _counted_length(self) -> Time:
        return self.tune.chart.bars[self.first].meter.length + self.tune.chart.lead_in(self.first)

    @cached_property
    def lead(self) -> float:
        """Seconds before the first bar."""
        return float(self._counted_length) * 60.0 / self.tune.tempo.at(self.start) if self.counted else 0.0

    @cached_property
    def _origin(self) -> float:
        return self.tune.seconds(self.start)

    @cached_property
    def length(self) -> int:
        """Samples of the whole excerpt, lead and ring-out included."""
        return self.sample(self.end) + (round(RING_OUT * SAMPLE_RATE) if self.whole else 0)

    @property
    def ring_out(self) -> int:
        """The sample at which what rings on after the tune's last bar is let go."""
        return self.length - round(0.5 * SAMPLE_RATE) if self.whole else self.length

    def sample(self, time: Time) -> int:
        """The sample on which a written time is played, feel and tempo applied."""
        return round((self.lead + self.tune.seconds(time) - self._origin) * SAMPLE_RATE)

    def holds(self, time: Time) -> bool:
        """Whether something that begins at ``time`` is heard."""
        return self.start <= time < self.end


def choose(
    tune: Tune,
    bars: tuple[int, int] | None,
    tempo: float | None,
    count_in: bool,
    clicked: bool = False,
    longest: float = LONGEST_HELD,
) -> Excerpt:
    """The excerpt a listener asked for: bar numbers as players count them, quarter notes a minute.

    Raises InputError where the tune has no such bars, the tempo makes no sense or the audio would be
    too long to hold.
    """
    chart = tune.chart
    if not chart.bars:
        raise InputError("the tune has no bars to play; write a chart")
    if tempo is not None:
        _check_tempo(tempo, "the tempo asked for")
        tune = tune.at_tempo(tempo)
    for time, bpm in tune.tempo.changes:
        _check_tempo(bpm, f"the tempo from {chart.place(time)}")
    first, last = bars or (chart.number(0), chart.number(len(chart.bars) - 1))
    lowest, highest = chart.number(0), chart.number(len(chart.bars) - 1)
    if not lowest <= first <= last <= highest:
        raise InputError(
            f"bars {first}-{last} can't be played; give two bars in order between {lowest} and {highest}"
        )
    excerpt = Excerpt(tune, chart.index(first), chart.index(last), count_in, clicked)
    seconds = excerpt.length / SAMPLE_RATE
    if seconds > longest:
        raise InputError(
            f"that is {seconds / 60:.0f} minutes of audio, more than {longest / 60:.0f}; "
            "ask for fewer bars or a faster tempo"
        )
    return excerpt


def _check_tempo(bpm: float, what: str) -> None:
    if not SLOWEST <= bpm <= FASTEST:  # also catches what is not a number
        raise InputError(f"{what} is {bpm:g} quarter notes a minute; give {SLOWEST:g} to {FASTEST:g}")


