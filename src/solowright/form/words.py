"""What the arc says in words, all in one place so that another language can be added.

A teacher's register: bars and beats, no mark given, advice only where something can be done.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import isfinite, log2
from textwrap import wrap

from solowright.form.climax import HEARD
from solowright.form.flash import could_be_plainer
from solowright.form.record import (
    AnswerRoom,
    Arc,
    BreakFill,
    Climax,
    Contrast,
    HitsPlayed,
    Passage,
    Plainer,
    SectionArc,
    Stretch,
    WayBack,
)
from solowright.harmony.fact_words import count_words
from solowright.harmony.section_words import DEVICE_WORDS, bar_list, bars_words
from solowright.harmony.words import beat_words, listed, printed, with_article
from solowright.music.chart import Place, beat_text
from solowright.music.time import Time
from solowright.music.tune import Tune

KIND_WORDS = {
    "shape-shift": "a shape moved along the neck", "ringing-run": "a run that rings across the strings",
    "open-string-figure": "an open-string figure", "harmonics": "harmonics", "trill": "a trill",
    "double-stop": "double stops", "chord-punch": "chord punches", "tapping": "tapping",
    "burst": "a run faster than all around it",
}  # fmt: skip
REASON_WORDS = {
    "climax": "where the solo should peak", "break": "in the break", "turn": "into the next section",
    "hits": "on the band's hits", "end": "as the last word",
}  # fmt: skip
# Mean registers are compared roughly: semitones to the interval they are nearest to in speech.
ABOUT = (
    "unison", "half step", "whole step", "third", "third", "fourth", "fifth", "fifth", "sixth", "sixth",
    "seventh", "seventh", "octave",
)  # fmt: skip
PACES = (
    (1.9, "plays twice as many notes or more"), (1.25, "plays about half as many notes again"),
    (1.0, "plays a few more notes"), (0.8, "plays a few notes fewer"),
    (0.55, "plays about a third fewer notes"), (0.0, "plays half the notes or fewer"),
)  # fmt: skip
NEARLY = 0.9  # of what is heard as a contrast: named beside what is stronger
LEVEL_WORDS = (
    "The sound level is an estimate from what is picked, slurred and struck together and how high it lies; "
    "it was not measured."
)


@dataclass(frozen=True, slots=True)
class Told:
    """A sentence, what it is about, and the bars (places in the chart) it speaks of."""

    about: str
    text: str
    first: int
    last: int


def tell_arc(tune: Tune, arc: Arc) -> tuple[Told, ...]:
    """All that the arc has to say, in the order of telling."""
    return tuple(_tell(tune, arc))


def _tell(tune: Tune, arc: Arc) -> Iterator[Told]:
    end = len(arc.numbers) - 1
    if arc.climax is None:
        yield Told("climax", "There is no line yet, so there is nothing to shape.", 0, max(0, end))
        return
    for text in climax_sentences(tune, arc, arc.climax):
        yield Told("climax", text, arc.climax.first, arc.climax.last)
    yield Told("curves", pace_sentence(arc), 0, end)
    for contrast in arc.contrasts:
        part = arc.sections[contrast.after].stretch
        yield Told("sections", contrast_sentence(arc, contrast), part.first, part.stop - 1)
    for fill in arc.breaks:
        yield Told("breaks", break_sentence(arc, fill), fill.first, fill.last)
    yield from _tell_hits(tune, arc)
    for room in arc.answers:
        yield Told("answers", answer_sentence(tune, arc, room), room.bar, room.bar)
    if arc.way_back is not None:
        bar = tune.chart.index(arc.way_back.last.bar)
        yield Told("way-back", way_back_sentence(arc.way_back), bar, end)
    yield from _tell_flash(tune, arc)
    if not arc.level_measured:
        yield Told("level", LEVEL_WORDS, 0, end)


def numbered(arc: Arc, first: int, last: int) -> str:
    """``bar 9``, ``bars 9–16``: places in the chart as players number them."""
    return bars_words(arc.numbers[first], arc.numbers[last])


def part_words(arc: Arc, part: Stretch, inside: bool = False) -> str:
    """``Bridge (bars 9–16)``; a section without a name is its bars, small ``inside`` a sentence."""
    bars = numbered(arc, part.first, part.stop - 1)
    if part.name:
        return f"{part.name} ({bars})"
    return bars if inside else _capital(bars)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _at(place: Place) -> str:
    return f"bar {place.bar}, {beat_words(place)}"


def _beats(quarters: Time) -> str:
    if quarters == Time(1, 2):
        return "half a beat"
    number = count_words(int(quarters)) if quarters.denominator == 1 else beat_text(quarters)
    return f"{number} beat{'' if quarters == 1 else 's'}"


def climax_sentences(tune: Tune, arc: Arc, climax: Climax) -> list[str]:
    """Where the solo peaks, where the sections want it, and what competes."""
    where = numbered(arc, climax.first, climax.last)
    if climax.where == "short":
        return [f"Too short to ask for a peak; most happens in {where}."]
    wanted, goal = numbered(arc, climax.wanted.first, climax.wanted.stop - 1), "a long build asks for it in"
    if len(arc.sections) > 1:
        wanted, goal = part_words(arc, climax.wanted, inside=True), "the sections lead on to"
    told = {
        "there": f"The solo peaks in {where}, and that is where it is wanted: {wanted}.",
        "early": f"The solo peaks in {where}, but {goal} {wanted}: what comes after has to live up to it. "
        "Hold something back, or give the later bars more height or more band.",
        "late": f"The solo peaks in {where}, after {wanted}, where it is wanted: the band has already been "
        "there. Bring some of it forward.",
    }[climax.where]
    return [told, *_rival_sentence(arc, climax), _highest_sentence(tune, arc, climax)]


def _rival_sentence(arc: Arc, climax: Climax) -> list[str]:
    if climax.rival is None:
        return []
    rival, peak = arc.numbers[climax.rival], arc.numbers[climax.bar]
    if climax.where == "there":
        return [f"Bar {rival} comes close to it: a little less there would leave the top to bar {peak}."]
    if climax.wanted.first <= climax.rival < climax.wanted.stop:
        return [f"Bar {rival}, where it is wanted, comes close: a little more there would turn it round."]
    return [f"Bar {rival} comes close to it."]


def _highest_sentence(tune: Tune, arc: Arc, climax: Climax) -> str:
    name = printed(tune.line.notes[climax.highest].pitch.name)
    first, last = (arc.numbers[bar] for bar in (climax.first, climax.last))
    if first <= climax.highest_at.bar <= last:
        return f"Its highest note, {name}, belongs to the peak ({_at(climax.highest_at)})."
    side = "before" if climax.highest_at.bar < first else "after"
    return f"The highest note, {name}, comes {side} the peak ({_at(climax.highest_at)})."


def pace_sentence(arc: Arc) -> str:
    """The range of the curves: slowest and fastest bar, and the hardest for the hand."""
    density = arc.curves.density
    played = [bar for bar, pitch in enumerate(arc.curves.pitch) if pitch is not None]
    slow = min((bar for bar in played if density[bar]), key=lambda bar: density[bar])
    fast = max(played, key=lambda bar: density[bar])
    hard = max(played, key=lambda bar: arc.curves.load[bar])
    text = f"Fastest in bar {arc.numbers[fast]}, {density[fast]:.1f} notes a second"
    if density[slow] < density[fast]:
        text += f"; slowest in bar {arc.numbers[slow]}, {density[slow]:.1f}"
    load = arc.curves.load[hard]
    if load:
        text += f". The hand is nearest its limit in bar {arc.numbers[hard]} ({100 * load:.0f} %)"
    return text + "."


def contrast_sentence(arc: Arc, contrast: Contrast) -> str:
    """What a section changes against the one before."""
    after, before = (arc.sections[place] for place in (contrast.after, contrast.before))
    head, other = part_words(arc, after.stretch, inside=True), _name(arc, before)
    if contrast.size < 1:
        return f"{_capital(head)} carries on much as {other} did: pace, register and level hardly change."
    differences = (
        (contrast.higher / HEARD["register"], _register_words(contrast.higher)),
        (log2(contrast.faster) / HEARD["pace"], _pace_words(contrast.faster)),
        (contrast.louder / HEARD["level"], _level_words(contrast.louder)),
        (contrast.tenser / HEARD["tension"],
         f"leans {'more' if contrast.tenser > 0 else 'less'} on notes outside the chords"),
        (contrast.flashier / HEARD["flash"],
         f"{'brings out' if contrast.flashier > 0 else 'drops'} the flash"),
    )  # fmt: skip
    told = [words for size, words in differences if abs(size) >= NEARLY]
    return f"Compared with {other}, {head} {listed(told)}."


def _name(arc: Arc, section: SectionArc) -> str:
    name = section.stretch.name
    return name if name else numbered(arc, section.stretch.first, section.stretch.stop - 1)


def _register_words(semitones: float) -> str:
    size = min(round(abs(semitones)), len(ABOUT) - 1)
    return f"lies about {with_article(ABOUT[size])} {'higher' if semitones > 0 else 'lower'}"


def _level_words(decibels: float) -> str:
    return f"is about {abs(decibels):.0f} dB {'louder' if decibels > 0 else 'softer'}"


def _pace_words(ratio: float) -> str:
    return next(words for least, words in PACES if ratio >= least)


def break_sentence(arc: Arc, fill: BreakFill) -> str:
    """What fills a break."""
    where = _capital(numbered(arc, fill.first, fill.last))
    if fill.enters is None:
        return f"{where}, the band is out and so is the line: a silence the band will have to count."
    start = "from the downbeat" if not fill.enters else f"after {_beats(fill.enters)} of silence"
    made = f", with {listed([DEVICE_WORDS[kind] for kind in fill.devices])}" if fill.devices else ""
    text = (
        f"{where}, the band is out: the line takes over {start}, {count_words(fill.notes)} "
        f"note{'' if fill.notes == 1 else 's'}, {fill.density:.1f} a second{made}."
    )
    if fill.before and fill.density > 1.3 * fill.before:
        return f"{text} That is faster than the bars before, so the break lifts."
    if fill.density < fill.before / 1.3:
        return f"{text} That is slower than the bars before: the quiet does the work."
    return text


def _tell_hits(tune: Tune, arc: Arc) -> Iterator[Told]:
    whole = [row for row in arc.hits if not row.left]
    if whole:
        bars = bar_list([arc.numbers[row.bar] for row in whole])
        yield Told("hits", f"The line strikes every hit of the band in {bars}.", whole[0].bar, whole[-1].bar)
    for row in arc.hits:
        if row.left:
            yield Told("hits", hits_sentence(tune, arc, row), row.bar, row.bar)


def hits_sentence(tune: Tune, arc: Arc, row: HitsPlayed) -> str:
    """A bar in which the band strikes something alone."""
    start = tune.chart.starts[row.bar]
    beats = listed([beat_words(tune.chart.place(start + hit)) for hit in row.left])
    one = len(row.left) == 1
    what, them = ("the hit", "it") if one else ("the hits", "them")
    text = f"Bar {arc.numbers[row.bar]}: {what} on {beats} {'is' if one else 'are'} left to the band"
    return f"{text}, and the line plays on through {them}." if row.between else f"{text}."


def answer_sentence(tune: Tune, arc: Arc, room: AnswerRoom) -> str:
    """Whether the band's answer has room."""
    bar = f"Bar {arc.numbers[room.bar]}"
    if room.free:
        if not room.rest:
            return f"{bar}: the line holds its note under the band's answer."
        return f"{bar}: the line leaves the band's answer its room, {_beats(room.rest)} of rest."
    notes = f"{count_words(room.attacks)} note{'' if room.attacks == 1 else 's'}"
    place = tune.chart.place(room.start)
    return (
        f"{bar}: the line plays {notes} into the band's answer; "
        f"end the phrase before {beat_words(place)} to leave it room."
    )


def way_back_sentence(way: WayBack) -> str:
    """Whether there is time to end and to come in again."""
    goal = f"the next entry ({_at(way.entry)})" if way.known else "the downbeat after the last bar"
    text = f"From the last note ({_at(way.last)}) to {goal}: {_beats(way.quarters)}, {way.time:.2f} s. "
    if way.mm:
        hand = f"the hand needs {way.hand:.2f} s for the {way.mm:.0f} mm back to where the line began"
    else:
        hand = "the hand is already where the line began"
    if way.enough:
        return f"{text}That is enough: {hand}, and until then the note can ring."
    return (
        f"{text}That is tight: {hand}, which leaves the note {max(0.0, way.time - way.hand):.2f} s. "
        "End it short on purpose, or end nearer to where the melody starts."
    )


def _tell_flash(tune: Tune, arc: Arc) -> Iterator[Told]:
    flash, end = arc.flash, len(arc.numbers) - 1
    yield Told("flash", budget_sentence(arc), 0, end)
    for _, group in groupby((p for p in flash.passages if p.cluster is not None), key=lambda p: p.cluster):
        crowd = list(group)
        bars = _bars(tune, crowd[0])[0], _bars(tune, crowd[-1])[1]
        yield Told("flash", crowd_sentence(tune, crowd), *bars)
    for passage in flash.passages:
        text = passage_sentence(tune, passage, flash.spent > flash.budget)
        yield Told("flash", text, *_bars(tune, passage))
        if passage.plainer is not None:
            text = plainer_sentence(tune, passage.plainer)
            yield Told("plainer", text, *_bars(tune, passage))


def _bars(tune: Tune, passage: Passage) -> tuple[int, int]:
    last = tune.line.notes[passage.notes[-1]].onset
    return tune.chart.bar_index(passage.start), tune.chart.bar_index(last)


def budget_sentence(arc: Arc) -> str:
    """What the flash costs in all."""
    flash = arc.flash
    if not flash.passages:
        return "Nothing in the line is flash, so all of the budget is still there for one moment that counts."
    text = f"Flash costs {flash.spent:.0f} beats; a solo of this length carries about {flash.budget:.0f}"
    if flash.spent > flash.budget:
        return f"{text}, so something could be plainer."
    return f"{text}."


def crowd_sentence(tune: Tune, crowd: Sequence[Passage]) -> str:
    """Passages that follow each other too closely."""
    onsets = (crowd[0].start, tune.line.notes[crowd[-1].notes[-1]].onset)
    first, last = (tune.chart.place(time).bar for time in onsets)
    return (
        f"{_capital(bars_words(first, last))}: {count_words(len(crowd))} showy passages less than a bar "
        "apart; each takes the shine off the one before."
    )


def passage_sentence(tune: Tune, passage: Passage, over: bool) -> str:
    """What a passage is and why it pays, or that it doesn't."""
    place = tune.chart.place(passage.start)
    head = f"{_capital(_at(place)) if place.beat != 1 else f'Bar {place.bar}'}: {KIND_WORDS[passage.kind]}"
    if passage.reasons:
        pays = f"{head}, {listed([REASON_WORDS[reason] for reason in passage.reasons])}: it pays there."
        return pays if not could_be_plainer(passage, over) else pays[:-1] + ", yet it could be plainer."
    return f"{head}; nothing around here calls for flash, so it could be plainer."


def plainer_sentence(tune: Tune, plainer: Plainer) -> str:
    """The plainer version: its notes, what stays, how fast it goes."""
    chart = tune.chart
    notes = ", ".join(
        f"{printed(note.pitch.tone.name)}{f' ({printed(degree)})' if degree else ''} "
        f"on {beat_words(chart.place(note.onset))}"
        for note, degree in zip(plainer.notes, plainer.degrees, strict=True)
    )
    gone = len(plainer.places) - len(plainer.notes)
    fewer = f"{count_words(gone)} note{'s' if gone > 1 else ''} fewer" if gone else "the same notes"
    places = " ".join(f"{note.string}/{note.fret}" for note in plainer.notes)
    limit = "nothing in it asks for speed"
    if isfinite(plainer.limit_tempo):
        limit = f"it goes up to {plainer.limit_tempo:.0f}"
        if isfinite(plainer.before) and round(plainer.before) == round(plainer.limit_tempo):
            limit = f"the limit stays at {plainer.limit_tempo:.0f}"
        elif isfinite(plainer.before):
            limit += f" where the line as it is goes up to {plainer.before:.0f}"
    told = f" Read again: {plainer.reasons[0]}" if plainer.reasons else ""
    return f"Plainer: {notes}. On string/fret {places}: {fewer}, and {limit}.{told}"


HEADINGS = {
    "climax": "The peak", "curves": "The curves", "sections": "Section against section",
    "breaks": "The break", "hits": "The band's hits", "answers": "The band's answers",
    "way-back": "The way back", "flash": "Flash", "level": "Level",
}  # fmt: skip
WIDTH = 96  # columns of running text


def arc_text(tune: Tune, arc: Arc) -> str:
    """The arc for people: a paragraph of sentences for each thing it tells."""
    lines = [tune.title]
    heading = ""
    for told in tell_arc(tune, arc):
        if told.about == "plainer":
            lines += wrap(told.text, WIDTH, initial_indent="      ", subsequent_indent="      ")
            continue
        if told.about != heading:
            heading = told.about
            lines += ["", HEADINGS[heading]]
        lines += wrap(told.text, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    return "\n".join(lines)
