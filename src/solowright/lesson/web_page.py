"""The students' page: pages, player and sound in one HTML file that needs no network and no server.

The desk's own modules (``web/static``) travel as ``data:`` addresses behind an import map; the sound as MP3
in base64; the letters as WOFF with just the characters of music and text in Latin letters.
"""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Mapping, Sequence
from functools import cache
from html import escape
from importlib.resources import files
from io import BytesIO
from typing import Any
from zlib import compress

from solowright.form import work_out_arc
from solowright.lesson.phrases import Phrase, find_phrases
from solowright.lesson.plainer import Plainer
from solowright.lesson.plainer_words import change_lines, plainer_summary
from solowright.lesson.sounds import PROBE_AT, SMALL, probe
from solowright.page.booklet import CAUTION, limit_words
from solowright.page.lettering import TEXT_FONT_FOLDERS
from solowright.sound.string import SAMPLE_RATE
from solowright.web.view import NARROW, view_json
from solowright.work import Worked

Json = dict[str, Any]
_MODULES = (
    "element", "form-strip", "hand-path", "music", "neck", "pages", "player", "reasons", "timeline",
    "transport", "wire",
)  # fmt: skip
_IMPORT = re.compile(r'^((?:import|export) (?:.* from )?)"\./([\w-]+)\.js";', re.MULTILINE)
_NAME = "solowright/{}.js"  # a module's name in the import map
_FACES = (
    ("Source Sans Pro", 400, "SourceSansPro-Regular.otf"),
    ("Source Sans Pro", 600, "SourceSansPro-Semibold.otf"),
    ("Source Serif Pro", 400, "SourceSerifPro-Regular.otf"),
)
_LETTERS = "".join(map(chr, (*range(0x20, 0x7F), *range(0xA0, 0x180)))) + "–—‘’“”…·×−♭♯♮°ø△♩⅓⅔"


def web_page(
    worked: Worked,
    plainer: Plainer,
    sounds: Mapping[str, bytes],
    percents: Sequence[int],
) -> str:
    """The page as HTML. ``sounds`` are MP3s named ``PERCENT-STEM``, the plainer line's guitar
    ``PERCENT-plainer``, all beginning with the tune's first bar.

    Raises InputError, with bar and beat, where a rhythm can't be written.
    """
    tune, reading = worked.tune, worked.reading
    view, plain = _view(worked), _view(plainer.worked)
    summary = plainer_summary(plainer, reading) if reading else ""
    lesson = {
        "percents": sorted(percents),
        "stems": _stems(sounds, percents[0]),
        "probe_at": PROBE_AT,
        "lines": [
            {"name": "As written", "view": view, "guitar": "guitar"},
            {"name": "Plainer", "view": plain, "guitar": "plainer"},
        ],
        "chapters": _chapters(view, find_phrases(tune)),
    }
    words = "".join(f"<li>{escape(line)}</li>" for line in change_lines(plainer, tune))
    return _read("page.html").format(
        title=escape(tune.title or "Untitled"),
        composer=escape(tune.composer),
        facts=escape(" ".join(limit_words(worked.fingering))),
        summary=escape(view["summary"]),
        lines=_LINES if plainer.left or plainer.trills else "",
        plainer=f"<p>{escape(summary)}</p><ul>{words}</ul>",
        caution=escape(CAUTION),
        style=_fonts() + _shared("theme.css") + _read("lesson.css"),
        modules=json.dumps({"imports": _modules()}),
        lesson=_packed(lesson),
        sounds="\n".join(_sound(name, data) for name, data in {**sounds, "probe": probe(SMALL)}.items()),
        rate=SAMPLE_RATE,
    )


def _view(worked: Worked) -> Json:
    reading = worked.reading
    arc = work_out_arc(worked.tune, worked.fingering, reading) if reading else None
    return view_json(worked, arc, narrow=NARROW)


_LINES = """<fieldset><legend>Line</legend>
<label><input type="radio" name="line" value="0" checked>As written</label>
<label><input type="radio" name="line" value="1">Plainer</label>
</fieldset>"""


def _stems(sounds: Mapping[str, bytes], percent: int) -> list[str]:
    head = f"{percent}-"
    return [name.removeprefix(head) for name in sounds if name.startswith(head) and name != f"{head}plainer"]


def _chapters(view: Json, phrases: Sequence[Phrase]) -> list[Json]:
    """The sections, each with the phrases that begin in it."""
    return [
        {
            "name": section["name"] or "The tune",
            "first": section["first"],
            "last": section["last"],
            "text": section["text"],
            "phrases": [
                {"number": phrase.number, "name": phrase.bars, "first": phrase.first, "last": phrase.last}
                for phrase in phrases
                if section["first"] <= phrase.first <= section["last"]
            ],
        }
        for section in view["sections"]
    ]


def _modules() -> dict[str, str]:
    """The import map: every module under its own name, none of them on a server."""
    found = {name: _shared(f"{name}.js") for name in _MODULES} | {"lesson": _read("lesson.js")}
    return {_NAME.format(name): _address(_renamed(text)) for name, text in found.items()}


def _renamed(module: str) -> str:
    """A module that imports the others by their names in the map."""
    return _IMPORT.sub(lambda match: f'{match[1]}"{_NAME.format(match[2])}";', module)


def _address(module: str) -> str:
    return f"data:text/javascript;base64,{b64encode(module.encode()).decode()}"


def _sound(name: str, data: bytes) -> str:
    return f'<script type="text/plain" id="sound-{name}">{b64encode(data).decode()}</script>'


def _packed(data: Json) -> str:
    """Data as JSON, deflated (RFC 1950), in base64."""
    text = json.dumps(data, ensure_ascii=False, separators=(",", ":"))
    return b64encode(compress(text.encode(), 9)).decode()


def _read(name: str) -> str:
    return (files("solowright") / "lesson" / "static" / name).read_text("utf-8")


def _shared(name: str) -> str:
    return (files("solowright") / "web" / "static" / name).read_text("utf-8")


@cache
def _fonts() -> str:
    return "".join(
        f"@font-face {{ font-family: '{family}'; font-weight: {weight}; "
        f"src: url(data:font/woff;base64,{b64encode(_subset(name)).decode()}); }}\n"
        for family, weight, name in _FACES
    )


def _subset(name: str) -> bytes:
    """The letters that a page of music needs, as WOFF."""
    from fontTools import subset  # type: ignore[import-untyped]
    from fontTools.ttLib import TTFont  # type: ignore[import-untyped]

    path = next(folder / name for folder in TEXT_FONT_FOLDERS if (folder / name).exists())
    font = TTFont(path)
    options = subset.Options(flavor="woff", layout_features=["kern", "liga", "tnum"], notdef_outline=True)
    chosen = subset.Subsetter(options)
    chosen.populate(text=_LETTERS)
    chosen.subset(font)
    out = BytesIO()
    font.flavor = "woff"
    font.save(out)
    return out.getvalue()


