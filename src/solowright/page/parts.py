"""The chart of a tune as parts for the band, each on one page: form, hits, breaks, answers, ending, cues.

Drawn as the booklet's systems are, on one staff. A part that is too long for a page is set smaller, with
more bars on a line, down to ``_LEAST`` of the usual size; only then does it take a second page. Points.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path

from solowright.form.record import Arc
from solowright.music.chart import beat_text
from solowright.music.notation import Symbol, notate
from solowright.music.tune import Tune
from solowright.page.drawing import VERMILION, Mark, around, bottom_under, letters, write_svg
from solowright.page.engrave import WIDTH, barlines, staff_lines
from solowright.page.mei import length_of, line_symbols, nested
from solowright.page.over import Places, draw_over
from solowright.page.part_score import Part, PartScore, write_part
from solowright.page.passage import Whole, printed_fifths
from solowright.page.score import Score
from solowright.page.staff import SPACE, Staff, lay_out_mei
from solowright.page.typeset import typeset, typeset_pictures

_TEMPLATE = Path(__file__).with_name("parts.typ")
_HEIGHT = 655.0  # of an A4 page, under the part's heading
_BETWEEN = 9.0  # between systems
_BARS = 4  # a line, at full size
_SIZES = (1.0, 0.9, 0.8, 0.7, 0.6, 0.5)
_LEAST = _SIZES[-1]
_SPACING = 0.3  # verovio's linear spacing; lines are stretched to the width
_LABEL = 7.4


@dataclass(frozen=True, slots=True)
class PartLine:
    """A line of a part: its SVG, what is drawn around its notes, and its first and last bar number."""

    svg: str
    width: float
    height: float
    marks: tuple[Mark, ...]
    first: int
    last: int


def part_pdf(tune: Tune, arc: Arc, part: Part) -> bytes:
    """One part as a PDF (A4). Raises InputError where a rhythm can't be written."""
    return typeset(_TEMPLATE, *_page(tune, arc, part))


def part_pictures(tune: Tune, arc: Arc, part: Part, ppi: float = 110.0) -> tuple[bytes, ...]:
    """The same as one PNG a page."""
    return typeset_pictures(_TEMPLATE, *_page(tune, arc, part), ppi)


def _page(tune: Tune, arc: Arc, part: Part) -> tuple[dict[str, object], dict[str, str]]:
    """The template's data and its pictures."""
    lines, size = fit_lines(tune, arc, part)
    score = write_part(tune, part)
    key = f"{score.tune.key.tonic.printed} {'minor' if score.tune.key.minor else 'major'}"
    return {
        "title": tune.title or "Untitled",
        "composer": tune.composer,
        "part": part.title,
        "reads": part.reads,
        "key": key,
        "bars": len(tune.chart.bars) - tune.chart.pickup,
        "between": _BETWEEN * size,
        "lines": [
            {"file": f"line-{number}.svg", "width": line.width * size} for number, line in enumerate(lines)
        ],
    }, {f"line-{number}.svg": line.svg for number, line in enumerate(lines)}


def fit_lines(tune: Tune, arc: Arc, part: Part) -> tuple[tuple[PartLine, ...], float]:
    """The lines of a part and the size at which they fill one page at the most (at the least size more)."""
    score = write_part(tune, part)
    for size in _SIZES:
        lines = draw_lines(score, arc, WIDTH / size, round(_BARS / size))
        if sum(line.height + _BETWEEN for line in lines) * size <= _HEIGHT:
            return lines, size
    return lines, _LEAST


def draw_lines(score: PartScore, arc: Arc, width: float, most: int) -> tuple[PartLine, ...]:
    """A part in lines of at most ``most`` bars, sections at the start of one."""
    whole = Whole(score.tune)
    edges = _breaks(score.tune, most)
    return tuple(_draw(whole, score, arc, first, stop, width) for first, stop in pairwise(edges))


def _breaks(tune: Tune, most: int) -> list[int]:
    """Where lines begin: even parts of every section."""
    starts = [index for index, _ in tune.chart.section_starts]
    edges = []
    for first, stop in pairwise([*starts, len(tune.chart.bars)]):
        count = -(-(stop - first) // most)
        edges += [first + (stop - first) * part // count for part in range(count)]
    return [*edges, len(tune.chart.bars)]


def _draw(whole: Whole, part: PartScore, arc: Arc, first: int, stop: int, width: float) -> PartLine:
    cut = whole.cut(first, stop)
    passage = cut.passage
    offset = first - passage.before  # from a bar of the cut to a place in the chart
    rows = list(notate(passage.tune))
    for bar in range(passage.before, passage.before + passage.count):
        if offset + bar in part.slashes:
            rows[bar] = tuple(
                replace(symbol, onset=symbol.onset - cut.start) for symbol, _ in part.slashes[offset + bar]
            )
    score = Score(passage, tuple(rows), ((),) * len(rows))
    staff = lay_out_mei(_write_mei(score, part, offset), 1, _SPACING, width - 1.0)
    places = Places(score, staff)
    over = draw_over(score, staff, list(staff.ink), places, cut.number)
    under = _draw_labels(score, part, arc, offset, staff, places)
    marks = [
        *staff_lines(staff.right), *staff.marks, *barlines(score, staff, 4 * SPACE), *over, *under,
    ]  # fmt: skip
    extent = around([mark.box for mark in marks])
    top, foot = extent.top - 1.0, extent.bottom + 1.0
    numbers = cut.number, cut.number + len(staff.bars) - 1
    svg = write_svg(marks, width, top, foot, f"p{first}-", f"bars {numbers[0]} to {numbers[1]}")
    drawn = tuple(mark.moved(0.0, -top) for mark in (*over, *under))
    return PartLine(svg, width, foot - top, drawn, *numbers)


def _draw_labels(
    score: Score, part: PartScore, arc: Arc, offset: int, staff: Staff, places: Places
) -> list[Mark]:
    """What the player should know of a bar, under it; the same isn't said twice in a row."""
    marks: list[Mark] = []
    ink = [*staff.ink]
    for bar in score.shown:
        text = label(part, arc, offset + bar)
        if not text or (offset + bar and text == label(part, arc, offset + bar - 1)):
            continue
        x = places.x(score.tune.chart.starts[bar])
        mark = letters("label", text, x, 0.0, _LABEL, "sans-italic", ink=VERMILION)
        mark = mark.moved(min(0.0, staff.right - mark.box.right), 0.0)
        low = bottom_under(ink, mark.box.left - 3.0, mark.box.right + 3.0, 4 * SPACE)
        marks.append(mark.moved(0.0, low + 3.5 - mark.box.top))
        ink.append(marks[-1].box)
    end = _ending(arc) if score.passage.ending else ""
    if end:
        mark = letters("label", end, staff.right, 0.0, _LABEL, "sans-italic", "end", VERMILION)
        low = bottom_under(ink, mark.box.left - 3.0, mark.box.right, 4 * SPACE)
        marks.append(mark.moved(0.0, low + 3.5 - mark.box.top))
    return marks


def label(part: PartScore, arc: Arc, bar: int) -> str:
    """The words under the bar at a place in the chart; empty where there is nothing to say."""
    here = part.tune.chart.bars[bar]
    words = []
    if bar in part.cues:
        words.append("guitar cue")
    elif here.pause:
        words.append("guitar alone" if arc.curves.density[bar] else "silence")
    if here.hits:
        alone = next(row.left for row in arc.hits if row.bar == bar)
        words.append("hits" if alone else "hits, with the guitar")
    if here.answer:
        words.append("answer")
    return "; ".join(words)


def _ending(arc: Arc) -> str:
    """How the guitar leaves, where the solo takes the chart to its end."""
    if arc.way_back is None or arc.way_back.known:
        return ""
    last = arc.way_back.last
    return f"the guitar's last note: bar {last.bar}, beat {beat_text(last.beat)}; then the melody"


# --- MEI ------------------------------------------------------------------------------------------


def _write_mei(score: Score, part: PartScore, offset: int) -> str:
    """The shown bars as MEI, named as in ``mei``."""
    tune = score.tune
    fifths = printed_fifths(tune)
    key = f"{abs(fifths)}{'s' if fifths > 0 else 'f'}" if fifths else "0"
    shown = [(index, tune.chart.bars[index]) for index in score.shown]
    meter = shown[0][1].meter
    before = tune.chart.bars[score.shown.start - 1].meter if score.shown.start else None
    told = score.passage.opening is not None or before not in (None, meter)
    count = f' meter.count="{meter.beats}" meter.unit="{meter.unit}"' if told else ""
    line = 4 if part.part.clef == "F" else 2
    text = [
        '<mei xmlns="http://www.music-encoding.org/ns/mei" meiversion="5.0"><music><body><mdiv><score>'
        f'<scoreDef key.sig="{key}"{count}><staffGrp>'
        '<staffDef n="1" lines="1" clef.shape="perc" clef.line="1" clef.visible="false" '
        'keysig.visible="false" meter.visible="false"/>'
        f'<staffDef n="2" lines="5" clef.shape="{part.part.clef}" clef.line="{line}"/>'
        "</staffGrp></scoreDef><section>"
    ]
    for index, bar in shown:
        if bar.meter != meter:
            meter = bar.meter
            text.append(f'<scoreDef meter.count="{meter.beats}" meter.unit="{meter.unit}"/>')
        written = "".join(nested(_symbols(score, part, index, offset)))
        text.append(
            f'<measure n="{index}" xml:id="bar-{index}" metcon="false">'
            f'<staff n="1" xml:id="band-{index}"><layer n="1"><mSpace/></layer></staff>'
            f'<staff n="2" xml:id="notes-{index}"><layer n="1">{written}</layer></staff></measure>'
        )
    return "".join([*text, "</section></score></mdiv></body></music></mei>"])


def _symbols(score: Score, part: PartScore, bar: int, offset: int) -> Iterator[tuple[Symbol, str]]:
    """The symbols of a bar: notes, small ones for cues, or slashes on the middle line."""
    flags = part.slashes.get(offset + bar)
    if flags is None:
        yield from line_symbols(score, bar, cue=offset + bar in part.cues)
        return
    here = part.tune.chart.bars[offset + bar]
    stem = 'stem.dir="up"' if here.hits or here.answer else 'stem.visible="false"'
    for row, (symbol, (_, slash)) in enumerate(zip(score.bars[bar], flags, strict=True)):
        name = f'xml:id="s{bar}.{row}"'
        if symbol.whole_bar:
            yield symbol, f"<mRest {name}/>"
        elif slash:
            yield symbol, f'<note {name} {length_of(symbol)} loc="4" head.shape="slash" {stem}/>'
        else:
            yield symbol, f"<rest {name} {length_of(symbol)}/>"
