"""``<harmony>`` and chord symbols: what the elements say is the truth, the printed text is kept with it.

MusicXML names a kind and then adds, alters and subtracts degrees. Kinds mean here what they mean on lead
sheets (a 13 over a major third has no 11). An added degree counts from a dominant chord, whose 7 is the
minor seventh, as the MusicXML 4.0 schema says of ``degree-alter``.
"""

from __future__ import annotations

import re
from functools import cache
from itertools import permutations

from lxml import etree

from solowright.errors import InputError
from solowright.music.chord import Chord, parse_chord
from solowright.music.pitch import LETTERS, Tone

# MusicXML kind and the symbol behind the root, the plainest first.
KINDS = (
    ("major", ""), ("minor", "m"), ("augmented", "aug"), ("diminished", "dim"), ("dominant", "7"),
    ("major-seventh", "maj7"), ("minor-seventh", "m7"), ("diminished-seventh", "dim7"),
    ("augmented-seventh", "aug7"), ("half-diminished", "m7b5"), ("major-minor", "mMaj7"),
    ("major-sixth", "6"), ("minor-sixth", "m6"), ("dominant-ninth", "9"), ("major-ninth", "maj9"),
    ("minor-ninth", "m9"), ("dominant-11th", "11"), ("major-11th", "maj11"), ("minor-11th", "m11"),
    ("dominant-13th", "13"), ("major-13th", "maj13"), ("minor-13th", "m13"), ("suspended-second", "sus2"),
    ("suspended-fourth", "sus4"), ("power", "5"),
)  # fmt: skip
_KIND = dict(KINDS)
# Kinds that real files hold though no version of the standard names them.
_ODD = {
    "": "", "maj": "", "min": "m", "min7": "m7", "maj7": "maj7", "7": "7", "dominant-seventh": "7",
    "minor-major": "mMaj7", "minor-major-seventh": "mMaj7", "augmented-major-seventh": "augmaj7",
    "augmented-ninth": "aug9", "half-diminished-seventh": "m7b5", "suspended-fourth-seventh": "7sus4",
    "sixth": "6", "ninth": "9", "dim": "dim", "aug": "aug", "6": "6", "9": "9", "m7b5": "m7b5",
}  # fmt: skip
# More ways to write a set of degrees, tried where no kind alone fits.
_MORE_BASES = ("69", "m69", "7sus4", "9sus4", "13sus4", "mMaj9", "dimmaj7", "aug9", "augmaj7", "m7b5", "7alt")
_NAMELESS = ("Neapolitan", "Italian", "French", "German", "pedal", "Tristan")

_SEMITONES = {"b": -1, "#": 1}
_SIGNS = {-2: "bb", -1: "b", 0: "", 1: "#", 2: "##"}
_SYMBOL = re.compile(r"[A-G][b#♭♯]{0,2}(.*?)(?:/\s*[A-G][b#♭♯]{0,2})?")


def read_harmony(element: etree._Element) -> Chord | None:
    """The chord of a ``<harmony>``; None for its kind ``none``.

    Raises InputError naming the kind or degree that isn't understood.
    """
    kind = (element.findtext("kind") or "").strip()
    if kind == "none":
        return None
    root, bass = element.find("root"), element.find("bass")
    if root is None:
        raise InputError("a chord without a root can't be read; write it with a root and a kind")
    printed = next((found.get("text", "") for found in element.iterfind("kind")), "")
    changes = element.findall("degree")
    degrees = _base_degrees(kind, printed, bool(changes))
    for change in changes:
        degrees = _apply(degrees, change)
    return name_chord(
        _read_tone(root, "root"), degrees, None if bass is None else _read_tone(bass, "bass"), printed
    )


def name_chord(root: Tone, degrees: frozenset[str], bass: Tone | None, printed: str = "") -> Chord:
    """A chord of these degrees under the ``printed`` symbol where that fits, else the plainest.

    Raises InputError where no symbol says these degrees.
    """
    symbol = printed if _degrees(printed) == degrees else _find_symbol(degrees)
    if symbol is None:
        listed = " ".join(sorted(degrees, key=lambda degree: int(degree.lstrip("b#"))))
        raise InputError(f"no chord symbol says {root.name} with the degrees {listed}; write a plainer chord")
    # A slash with the root itself in the bass is the plain chord.
    under = f"/{bass.name}" if bass is not None and bass != root else ""
    return parse_chord(root.name + symbol + under)


def write_harmony(chord: Chord | None) -> etree._Element:
    """The ``<harmony>`` element of a chord; kind ``none`` for no chord."""
    harmony = etree.Element("harmony")
    if chord is None:
        # The schema wants a root even where the chord is none.
        _write_tone(harmony, "root", Tone(0))
        etree.SubElement(harmony, "kind", text="N.C.").text = "none"
        return harmony
    _write_tone(harmony, "root", chord.root)
    kind, changes = _nearest_kind(frozenset(chord.degrees))
    etree.SubElement(harmony, "kind", text=printed_kind(chord)).text = kind
    if chord.bass is not None:
        _write_tone(harmony, "bass", chord.bass)
    for value, alter, how in changes:
        degree = etree.SubElement(harmony, "degree")
        # The kind's text already prints it.
        degree.set("print-object", "no")
        etree.SubElement(degree, "degree-value").text = str(value)
        etree.SubElement(degree, "degree-alter").text = str(alter)
        etree.SubElement(degree, "degree-type").text = how
    return harmony


def printed_kind(chord: Chord) -> str:
    """What stands between root and bass in a chord's symbol."""
    match = _SYMBOL.fullmatch(chord.symbol)
    return match[1].strip() if match else ""


def _read_tone(element: etree._Element, name: str) -> Tone:
    step = (element.findtext(f"{name}-step") or "").strip().upper()
    alter = (element.findtext(f"{name}-alter") or "0").strip()
    if step not in tuple(LETTERS) or alter not in ("-2", "-1", "0", "1", "2"):
        raise InputError(f"the chord's {name} '{step}' with alter '{alter}' is not a note; write A to G")
    return Tone(LETTERS.index(step), int(alter))


def _write_tone(harmony: etree._Element, name: str, tone: Tone) -> None:
    element = etree.SubElement(harmony, name)
    etree.SubElement(element, f"{name}-step").text = LETTERS[tone.letter]
    if tone.alter:
        etree.SubElement(element, f"{name}-alter").text = str(tone.alter)


def _base_degrees(kind: str, printed: str, spelled: bool) -> frozenset[str]:
    """Degrees of a kind before the degrees that are ``spelled`` out change them."""
    if kind == "other":
        # "other" is spelled by its added degrees; where there are none, its text is all there is.
        return (_degrees(printed) if printed and not spelled else None) or frozenset({"1"})
    symbol = _KIND.get(kind, _ODD.get(kind))
    if symbol is None:
        why = "no chord of a lead sheet" if kind in _NAMELESS else "not known"
        raise InputError(f"chord kind '{kind[:40]}' is {why}; write one such as dominant or minor-seventh")
    found = _degrees(symbol)
    assert found is not None, "every symbol in the tables is one that parse_chord reads"
    return found


@cache
def _degrees(symbol: str) -> frozenset[str] | None:
    """Degrees of a symbol without its root; None where it isn't one."""
    try:
        return frozenset(parse_chord("C" + symbol).degrees)
    except InputError:
        return None


def _apply(degrees: frozenset[str], element: etree._Element) -> frozenset[str]:
    """The degrees after one ``<degree>`` is added, altered or subtracted."""
    value = (element.findtext("degree-value") or "").strip()
    how = (element.findtext("degree-type") or "add").strip()
    alter = (element.findtext("degree-alter") or "0").strip()
    if value not in map(str, range(1, 14)) or alter not in ("-2", "-1", "0", "1", "2"):
        raise InputError(f"chord degree '{value}' altered by '{alter}' is not known; write 1 to 13, −2 to 2")
    present = [degree for degree in degrees if degree.lstrip("b#") == value]
    if how == "subtract":
        return degrees - set(present)
    if how == "alter" and present:
        return (degrees - set(present)) | {_shift(degree, int(alter)) for degree in present}
    if how in ("add", "alter"):
        return degrees | {_shift("b7" if value == "7" else value, int(alter))}
    raise InputError(f"chord degree type '{how}' is not known; write add, alter or subtract")


def _shift(degree: str, alter: int) -> str:
    number = degree.lstrip("b#")
    total = sum(_SEMITONES[sign] for sign in degree[: -len(number)]) + alter
    if total not in _SIGNS:
        raise InputError(f"chord degree {number} altered by {total} half steps is not known")
    return _SIGNS[total] + number


@cache
def _find_symbol(degrees: frozenset[str]) -> str | None:
    """The plainest symbol that says these degrees: a base and as few modifiers as possible."""
    found = [
        base + "".join(order)
        for base in (*(symbol for _, symbol in KINDS), *_MORE_BASES)
        for order in _modifiers(base, degrees)
        if _degrees(base + "".join(order)) == degrees
    ]
    return min(found, key=len, default=None)


def _modifiers(base: str, degrees: frozenset[str]) -> list[tuple[str, ...]]:
    """Modifiers that may turn ``base`` into the degrees: alterations, then adds, then omissions."""
    held = _degrees(base) or frozenset()
    altered = sorted(degree for degree in degrees - held if degree[0] in "b#")
    added = sorted((degree for degree in degrees - held if degree[0] not in "b#"), key=int)
    replaced = {degree.lstrip("b#") for degree in altered}
    gone = sorted(degree.lstrip("b#") for degree in held - degrees if degree.lstrip("b#") not in replaced)
    if len(altered) + len(added) + len(gone) > 4:
        return []
    adds = tuple(f"add{degree}" for degree in added)
    omissions = tuple(f"no{degree}" for degree in gone)
    return [tuple(order) + adds + omissions for order in permutations(altered)]


@cache
def _nearest_kind(degrees: frozenset[str]) -> tuple[str, tuple[tuple[int, int, str], ...]]:
    """The kind that needs fewest changes to become ``degrees``, and these as (value, alter, type)."""
    choices = [(kind, _changes(_degrees(symbol) or frozenset(), degrees)) for kind, symbol in KINDS]
    return min(choices, key=lambda choice: len(choice[1]))


def _changes(held: frozenset[str], degrees: frozenset[str]) -> tuple[tuple[int, int, str], ...]:
    changes = []
    missing = {degree.lstrip("b#"): degree for degree in held - degrees}
    for degree in sorted(degrees - held, key=lambda name: (int(name.lstrip("b#")), name)):
        number = degree.lstrip("b#")
        if number in missing:
            changes.append((int(number), _alter(degree) - _alter(missing.pop(number)), "alter"))
        else:
            seventh = 1 if number == "7" else 0  # added sevenths count from the minor one
            changes.append((int(number), _alter(degree) + seventh, "add"))
    changes += [(int(number), 0, "subtract") for number in sorted(missing, key=int)]
    return tuple(changes)


def _alter(degree: str) -> int:
    return sum(_SEMITONES[sign] for sign in degree if sign in _SEMITONES)
