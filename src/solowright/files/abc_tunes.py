"""A file of ABC 2.1: which tune and voice of it is meant, and the fields that stand over the music.

Source: The abc music standard 2.1, sections 2 and 3. A tune runs from its ``X:`` field to an empty
line. A file in another encoding than UTF-8 is read as Latin-1, which old files are.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field

from solowright.errors import FileError, InputError, Problem
from solowright.files.abc_fields import (
    default_unit,
    parse_key,
    parse_meter,
    parse_tempo,
    parse_unit,
    plain_text,
)
from solowright.files.abc_tokens import Token, scan
from solowright.files.text import Report, TextLine
from solowright.music.pitch import Tone
from solowright.music.time import EIGHTH, Meter, Time
from solowright.music.tune import Key

Remark = Callable[[int, int, str], None]

_FIELD = re.compile(r"([A-Za-z+]):(?![|:])(.*)")
_CHARSET = re.compile(rb"(?:%%|I:)abc-charset[ \t]+(utf-8|us-ascii|iso-8859-\d{1,2})\b", re.IGNORECASE)
_PROPAGATE = re.compile(r"(?:%%|I:)propagate-accidentals\s+(not|octave|pitch)\b")
# A widespread directive of early-music files: without barlines an accidental holds for its note only.
_NO_BARLINES = re.compile(r"%%MIDI\s+nobarlines\b")
_SYMBOL = re.compile(r"\s*([H-Wh-w~])\s*=\s*[!+]([^!+]+)[!+]\s*")
_PARTS = re.compile(r"[A-Z0-9().\s]*")


@dataclass(slots=True)
class Header:
    """What stands over the music of one tune."""

    titles: list[str] = field(default_factory=list)
    composer: str = ""
    meter: Meter | None = None
    unit: Time = EIGHTH
    tempo: float | None = None
    key: Key = field(default_factory=lambda: Key(Tone(0)))
    signature: tuple[int, ...] = (0,) * 7
    shift: int = 0
    order: str = ""  # of parts, from a P: field
    voices: dict[str, str] = field(default_factory=dict)  # name: settings, in order
    symbols: dict[str, str] = field(default_factory=dict)
    propagate: str = "pitch"


@dataclass(frozen=True, slots=True)
class Source:
    """The lines of one tune: ``head`` up to and with the K: field, then ``body``."""

    number: str
    head: tuple[TextLine, ...]
    body: tuple[TextLine, ...]


def decode_abc(data: bytes, file: str, remark: Remark) -> list[TextLine]:
    """The lines of an ABC file. Raises FileError for what is no text."""
    declared = _CHARSET.search(data[:4096])
    encodings = ["utf-8-sig", "latin-1"]
    if declared and declared[1].lower() != b"utf-8":
        encodings.insert(0, declared[1].decode().lower())
    for encoding in encodings:
        try:
            text = data.decode(encoding)
            break
        except (UnicodeDecodeError, LookupError):
            continue
    if "\0" in text or not text.strip():
        what = "the file is empty" if not text.strip() else "this is not a text file"
        raise FileError((Problem(file, 1, 1, f"{what}; ABC is text that begins with X:1"),))
    if encoding == "latin-1":
        remark(1, 1, "the file is not UTF-8 text and is read as Latin-1")
    return [TextLine(n, line) for n, line in enumerate(re.split(r"\r\n|\r|\n", text), 1)]


def split_tunes(lines: Sequence[TextLine]) -> tuple[list[TextLine], list[list[TextLine]]]:
    """The file header (fields over the first tune, for all tunes), and each tune's lines."""
    top: list[TextLine] = []
    tunes: list[list[TextLine]] = []
    inside = False
    for line in lines:
        if line.text.startswith("X:"):
            tunes.append([])
            inside = True
        elif not line.text.strip():
            inside = False
        if inside:
            tunes[-1].append(line)
        elif not tunes and line.text[:2] not in ("K:", "T:"):
            top.append(line)
    return top, tunes


def choose_tune(file: str, lines: Sequence[TextLine], wanted: str | None) -> Source:
    """The tune with the number or title ``wanted``, or the first one that has a K: field."""
    top, tunes = split_tunes(lines)
    sources = [_split_head(top, tune) for tune in tunes]
    for source in sources:
        titles = [line.text[2:].strip().lower() for line in source.head if line.text.startswith("T:")]
        if wanted is None or source.number == wanted.lstrip("0") or wanted.lower() in titles:
            if not any(line.text.startswith("K:") for line in source.head):
                at = source.head[-1].number
                what = f"tune X:{source.number} has no K: field to end its header; add K: and the key"
                raise FileError((Problem(file, at, 1, what),))
            return source
    if not tunes:
        raise FileError((Problem(file, 1, 1, "no tune begins here; an ABC tune begins with X:1 on a line"),))
    numbers = ", ".join(source.number for source in sources[:8]) + (", …" if len(sources) > 8 else "")
    raise FileError((Problem(file, 0, 0, f"no tune '{wanted}' in the file; it holds X: {numbers}"),))


def _split_head(top: list[TextLine], tune: list[TextLine]) -> Source:
    number = re.sub(r"%.*", "", tune[0].text[2:]).strip().lstrip("0")
    end = next((i for i, line in enumerate(tune) if line.text.startswith("K:")), len(tune) - 1) + 1
    return Source(number, (*top, *tune[:end]), tuple(tune[end:]))


def read_header(source: Source, report: Report, remark: Remark) -> Header:
    """The fields over the music; what can't be read goes to ``report``."""
    header = Header()
    fields: list[tuple[TextLine, str, str]] = []
    for line in source.head:
        match = _FIELD.match(line.text)
        directive = _PROPAGATE.match(line.text)
        if directive:
            header.propagate = directive[1]
        elif _NO_BARLINES.match(line.text):
            header.propagate = "not"
        elif match:
            fields.append((line, match[1], _plain(match[2])))
    for line, letter, text in fields:
        try:
            _read_field(header, letter, text)
        except InputError as error:
            report.add(line.number, 3, str(error))
        if letter == "m":
            remark(line.number, 1, "macros are not expanded here; the field is left out")
    if not any(letter == "L" for _, letter, _ in fields):
        header.unit = default_unit(header.meter)
    for line, letter, text in fields:
        if letter == "Q":
            try:
                header.tempo = parse_tempo(text, header.unit)
            except InputError as error:
                report.add(line.number, 3, str(error))
    return header


def _plain(text: str) -> str:
    """A field's text without its comment."""
    return re.sub(r"(?<!\\)%.*", "", text).strip()


def _read_field(header: Header, letter: str, text: str) -> None:
    if letter == "T":
        header.titles.append(plain_text(text))
    elif letter == "C" and not header.composer:
        header.composer = plain_text(text)
    elif letter == "M":
        header.meter = parse_meter(text)
    elif letter == "L":
        header.unit = parse_unit(text)
    elif letter == "P" and _PARTS.fullmatch(text):
        header.order = text
    elif letter == "V":
        name, _, settings = text.partition(" ")
        header.voices[name] = settings
    elif letter == "U":
        header.symbols |= read_symbol(text)
    elif letter == "K":
        found = parse_key(text)
        header.shift = found.shift or 0
        if found.key is not None and found.signature is not None:
            header.key, header.signature = found.key, found.signature


def read_symbol(text: str) -> dict[str, str]:
    """The mark that a U: field (``T = !trill!``) gives to a letter; empty where it gives none."""
    match = _SYMBOL.fullmatch(text)
    return {match[1]: match[2]} if match else {}


def body_signs(source: Source) -> Iterator[Token]:
    """The signs of the music, and its fields (on lines of their own or inline) as ``field`` signs."""
    for line in source.body:
        text = line.text
        match = _FIELD.match(text)
        if match:
            parts: dict[str, str | None] = {"letter": match[1], "value": _plain(match[2])}
            yield Token("field", text, parts, line.number, 1)
        elif directive := _PROPAGATE.match(text):
            yield Token("field", text, {"letter": "%", "value": directive[1]}, line.number, 1)
        elif not text.startswith("%"):
            yield from scan(text, line.number)


def choose_voice(header: Header, signs: Sequence[Token], wanted: str | None) -> tuple[str, list[Token]]:
    """The signs of one voice and its settings: the voice ``wanted`` by name or number, or the first.

    Raises InputError where there is no such voice.
    """
    voices: dict[str, list[Token]] = {name: [] for name in header.voices}
    settings = dict(header.voices)
    current = next(iter(voices), "")
    for sign in signs:
        if sign.kind == "field" and sign.part("letter") == "V":
            current, _, extra = sign.part("value").strip().partition(" ")
            settings[current] = f"{settings.get(current, '')} {extra}"
        else:
            voices.setdefault(current, []).append(sign)
    names = [name for name, found in voices.items() if any(sign.kind in ("note", "bar") for sign in found)]
    if wanted is None:
        chosen = names[0] if names else current
    elif wanted in names:
        chosen = wanted
    elif wanted.isdecimal() and 1 <= int(wanted) <= len(names):
        chosen = names[int(wanted) - 1]
    else:
        raise InputError(f"no voice '{wanted}'; the tune has {', '.join(map(repr, names)) or 'no music'}")
    return settings.get(chosen, ""), voices.get(chosen, [])
