"""What the commands print for people: a fingering as tablature, a reading section by section."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import isfinite
from textwrap import wrap

from solowright.files.tab_write import fits_tab, write_tab
from solowright.harmony.reading import Reading
from solowright.music.line import Line
from solowright.music.tune import Tune
from solowright.neck import (
    Easing,
    Fingering,
    PassageLimit,
    Path,
    Player,
    TempoRow,
    apply_path,
    find_top_tempo,
    tell_fingering,
)

_WIDTH = 96  # columns of running text


def fingering_text(
    tune: Tune,
    fingering: Fingering,
    easings: Sequence[Easing] = (),
    player: Player | None = None,
    changes: Sequence[str] = (),
) -> str:
    """Tempo, limit, crux and what would ease it, the best fingering as tablature, and the others.

    ``changes`` tell what was changed to make the line easier.
    """
    lines = [*changes[:1], *(f"  {change}" for change in changes[1:]), *([""] if changes else [])]
    lines.append(_tempo_line(tune, fingering))
    if fingering.crux:
        crux = fingering.crux
        share = f"{100 * crux.load:.0f} % of what the hand can do"
        lines.append(f"Hardest: {crux.place}, at {share}: {crux.why}.")
    lines += [f"  {easing.what}: then up to {easing.limit_tempo:.0f}" for easing in easings]
    if fingering.limit_tempo < fingering.tempo:
        lines.append(f"No fingering of this line passes {find_top_tempo(tune, player):.0f}.")
    for remark in tell_fingering(tune, fingering):
        lines += wrap(remark, _WIDTH)
    best = fingering.paths[0]
    lines += _tab(tune, best)
    for number, path in enumerate(fingering.paths[1:], 2):
        bars = _differing_bars(tune, best, path)
        lines += ["", f"Fingering {number}: {_limit(path)}. It differs in {bars}.", *_tab(tune, path)]
    return "\n".join(lines)


def _tab(tune: Tune, path: Path) -> list[str]:
    fingered = _slurs_only(apply_path(tune, path))
    return write_tab(fingered) if path.notes and fits_tab(fingered) else []


def _slurs_only(tune: Tune) -> Tune:
    """The tune without its plain picked entries: in print, what isn't slurred is picked."""
    notes = (replace(note, entry=None) if note.entry == "pick" else note for note in tune.line.notes)
    return replace(tune, line=Line(tuple(notes)))


def tempos_text(rows: Sequence[TempoRow]) -> str:
    """A line for each tempo: its limit, and what the fingering does otherwise than at the tempo asked."""
    lines = [""]
    for row in rows:
        able = "playable" if row.playable else "beyond the hand"
        lines.append(f"{row.percent:>3} % = {row.tempo:.0f}: {able}, up to {row.limit_tempo:.0f}")
        lines += [f"      {change}" for change in row.changes]
    return "\n".join(lines)


def passages_text(passages: Sequence[PassageLimit]) -> str:
    """A line for each phrase: where it stands and how fast it can go."""
    lines = ["", "Phrase by phrase:"]
    for passage in passages:
        limit = f"up to {passage.limit_tempo:.0f}" if isfinite(passage.limit_tempo) else "at any tempo"
        hardest = f", hardest at {passage.place}" if passage.place else ""
        lines.append(f"  {passage.start} to {passage.end}: {limit}{hardest}")
    return "\n".join(lines)


def _tempo_line(tune: Tune, fingering: Fingering) -> str:
    head = f"{tune.title}: tempo {fingering.tempo:g}"
    if not isfinite(fingering.limit_tempo):
        return f"{head}; nothing in this line asks for speed."
    holds = "playable up to" if fingering.limit_tempo >= fingering.tempo else "but playable only up to"
    return f"{head}, {holds} {fingering.limit_tempo:.0f} with this fingering."


def _limit(path: Path) -> str:
    return f"up to {path.limit_tempo:.0f}" if isfinite(path.limit_tempo) else "at any tempo"


def _differing_bars(tune: Tune, best: Path, other: Path) -> str:
    bars = {
        tune.chart.place(mine.note.onset).bar
        for mine, theirs in zip(best.notes, other.notes, strict=True)
        if (mine.string, mine.fret, mine.entry) != (theirs.string, theirs.fret, theirs.entry)
    }
    numbers = ", ".join(map(str, sorted(bars)))
    return f"bar{'s' if len(bars) > 1 else ''} {numbers}" if bars else "fingers only"


def reading_text(tune: Tune, reading: Reading) -> str:
    """The solo in a paragraph, then each section's paragraph with the sentences that belong to it."""
    chart = tune.chart
    lines = [tune.title, *wrap(reading.summary, _WIDTH)]
    for section in reading.sections:
        start, end = chart.starts[chart.index(section.first)], chart.starts[chart.index(section.last) + 1]
        lines += ["", *wrap(section.text, _WIDTH)]
        for sentence in reading.sentences:
            if start <= sentence.start < end:
                lines += wrap(sentence.text, _WIDTH, initial_indent="  - ", subsequent_indent="    ")
    return "\n".join(lines)
