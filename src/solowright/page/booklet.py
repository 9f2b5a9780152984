"""The booklet to hand to a student (PDF), and the whole line as one picture (SVG, PNG), by typst."""

from __future__ import annotations

import json
from collections.abc import Sequence
from math import isfinite
from pathlib import Path
from typing import TYPE_CHECKING, Literal

import typst

from solowright.music.tune import Tune
from solowright.neck.taste import player_for
from solowright.page.drawing import Mark, letters, write_svg
from solowright.page.engrave import WIDTH, System, engrave
from solowright.page.form import draw_form
from solowright.page.frames import draw_grips
from solowright.page.hand_path import draw_hand_paths
from solowright.page.lettering import TEXT_FONT_FOLDERS
from solowright.page.over import feel_marks, tempo_mark

if TYPE_CHECKING:
    from solowright.harmony.reading import Reading
    from solowright.neck.fingering import Fingering

FRONT = Path(__file__).with_name("booklet.typ")
_ABOVE = 20.0  # points between systems
CAUTION = (
    "Warm up before you play this at tempo, and rest for five minutes in every half hour. "
    "Stop at pain; pain that stays belongs with a clinician."
)


def booklet(
    tune: Tune,
    reading: Reading | None = None,
    fingering: Fingering | None = None,
    left_handed: bool = False,
) -> bytes:
    """The booklet as PDF (A4): a title page with the form and the grips, then the systems with their
    reasons, and under each the path of the hand where the fingering is known. ``left_handed`` mirrors the
    pictures of grips.

    Raises InputError, with bar and beat, where a rhythm can't be written.
    """
    systems = engrave(tune, reading)
    data, pictures = front_page(tune, reading, fingering, left_handed)
    if fingering is not None:
        hands = draw_hand_paths(tune, fingering.paths[0], systems, player_for(tune).scale)
        pictures |= {f"hand-{number}.svg": hand.svg for number, hand in enumerate(hands)}
    return _compile(data, systems, commentary(reading, systems), pictures, "pdf")


def front_page(
    tune: Tune,
    reading: Reading | None = None,
    fingering: Fingering | None = None,
    left_handed: bool = False,
) -> tuple[dict[str, object], dict[str, str]]:
    """What the template ``FRONT`` needs for the title page: its data, and its pictures by file name."""
    facts = _facts(tune)
    form = draw_form(tune, WIDTH)
    grips = draw_grips(tune, WIDTH, left_handed)
    data = {
        "title": tune.title or "Untitled",
        "composer": tune.composer,
        "long": False,
        "facts-width": facts[1],
        "form": [
            {"file": f"form-{number}.svg", "width": row.width, "above": 9.0 if row.first else 2.0}
            for number, row in enumerate(form)
        ],
        "grips": [{"file": f"grips-{number}.svg", "width": row.width} for number, row in enumerate(grips)],
        "summary": (
            *((reading.summary,) if reading and reading.summary else ()),
            *(limit_words(fingering) if fingering else ()),
        ),
        "legend": _legend(tune),
        "caution": CAUTION,
    }
    pictures = {f"form-{number}.svg": row.svg for number, row in enumerate(form)} | {"facts.svg": facts[0]}
    pictures |= {f"grips-{number}.svg": row.svg for number, row in enumerate(grips)}
    return data, pictures


def commentary(reading: Reading | None, systems: Sequence[System]) -> tuple[tuple[str, ...], ...]:
    """The paragraphs that stand over each system: those of the sections that begin in it."""
    sections = reading.sections if reading else ()
    return tuple(
        tuple(section.text for section in sections if system.first <= section.first <= system.last)
        for system in systems
    )


def page_svg(tune: Tune, reading: Reading | None = None, width: float = WIDTH) -> str:
    """The title and every system on one long page, as SVG."""
    systems = engrave(tune, reading, width)
    return _compile(_long(tune, width), systems, commentary(reading, systems), {}, "svg").decode()


def page_png(tune: Tune, reading: Reading | None = None, width: float = WIDTH, ppi: float = 144.0) -> bytes:
    """The title and every system on one long page, as PNG at ``ppi`` pixels an inch."""
    systems = engrave(tune, reading, width)
    return _compile(_long(tune, width), systems, commentary(reading, systems), {}, "png", ppi)


def _long(tune: Tune, width: float) -> dict[str, object]:
    return {"title": tune.title or "Untitled", "composer": tune.composer, "long": True, "width": width}


def _compile(
    data: dict[str, object],
    systems: Sequence[System],
    over: Sequence[Sequence[str]],
    pictures: dict[str, str],
    to: Literal["pdf", "svg", "png"],
    ppi: float = 144.0,
) -> bytes:
    """Runs the template on files that exist in memory only."""
    files = {f"system-{number}.svg": system.svg for number, system in enumerate(systems)} | pictures
    listed = [
        {
            "file": f"system-{number}.svg",
            "width": system.width,
            "over": paragraphs,
            "hand": hand if (hand := f"hand-{number}.svg") in pictures else None,
        }
        for number, (system, paragraphs) in enumerate(zip(systems, over, strict=True))
    ]
    files["data.json"] = json.dumps({**data, "systems": listed, "above": _ABOVE})
    files["main.typ"] = FRONT.read_text("utf-8")
    result = typst.compile(
        {name: text.encode() for name, text in files.items()},  # type: ignore[call-overload]
        format=to,
        ppi=ppi,
        font_paths=[str(folder) for folder in TEXT_FONT_FOLDERS],
        ignore_system_fonts=True,
    )
    return bytes(result if isinstance(result, bytes) else result[0])


def _facts(tune: Tune) -> tuple[str, float]:
    """Tempo, feel, key, bars and tuning on one line, as SVG, with its width."""
    marks: list[Mark] = [tempo_mark(tune.tempo.first)]
    marks += [mark.moved(marks[-1].box.right + 16.0, 0.0) for mark in feel_marks(tune.feel)]
    words = [f"{tune.key.tonic.printed} {'minor' if tune.key.minor else 'major'}", _bars(tune), *_neck(tune)]
    for word in words:
        marks.append(letters("fact", word, marks[-1].box.right + 16.0, 0.0, 9.6, "sans"))
    width = marks[-1].box.right + 1.0
    return write_svg(marks, width, -13.0, 4.0, "t-", "tempo and feel"), width


def _legend(tune: Tune) -> str:
    """What the marks of the form strip mean, as far as this chart uses them."""
    bars = tune.chart.bars
    marks = (
        ("ticks: band hits", any(bar.hits for bar in bars)),
        ("bracket: the band answers", any(bar.answered or bar.answer for bar in bars)),
        ("dashed: the band is silent", any(bar.pause for bar in bars)),
    )
    return " · ".join(words for words, used in marks if used)


def _bars(tune: Tune) -> str:
    count = len(tune.chart.bars) - tune.chart.pickup
    meters = {str(bar.meter) for bar in tune.chart.bars}
    meter = f" in {meters.pop()}" if len(meters) == 1 else ""
    return f"{count} {'bar' if count == 1 else 'bars'}{meter}"


def _neck(tune: Tune) -> list[str]:
    return [f"capo at fret {tune.capo}"] if tune.capo else []


def limit_words(fingering: Fingering) -> tuple[str, ...]:
    """What a fingering says of the tempo and of the hardest spot, as sentences."""
    crux, limit, tempo = fingering.crux, fingering.limit_tempo, fingering.tempo
    if crux is None or not isfinite(limit):
        return ()
    holds = "playable up to" if limit >= tempo else "but playable only up to"
    first = f"Tempo {tempo:.0f}, {holds} {limit:.0f} with this fingering."
    return (first, f"The hardest spot is {crux.place}: {crux.why.rstrip('.')}.")
