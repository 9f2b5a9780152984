"""The order in which written bars are played: repeats, endings, D.C., D.S., coda and fine.

Common practice, where a file leaves it open: a repeat goes back to the sign that opened it, else to the
end of the repeat before, else to the beginning. After D.C. or D.S. nothing is repeated and the last
ending is taken, until the coda. A jump is made at the end of the bar it stands in.
"""

from __future__ import annotations

from dataclasses import dataclass

from solowright.errors import InputError

MAX_BARS = 20_000  # played bars: some hours of music, a limit for damaged files


@dataclass(frozen=True, slots=True)
class Signs:
    """What one written bar says about the way through the tune. ``bar`` is what players call it.

    ``backward`` is how many times the repeat that ends here is played in all (0: none ends here).
    ``ending`` holds the numbers of an ending that begins here, ``ending_stop`` tells that one stops
    here. ``segno``, ``coda``, ``to_segno`` and ``to_coda`` hold labels, None where there is no sign.
    """

    bar: str = ""
    forward: bool = False
    backward: int = 0
    ending: tuple[int, ...] = ()
    ending_stop: bool = False
    segno: str | None = None
    coda: str | None = None
    to_segno: str | None = None
    to_coda: str | None = None
    to_start: bool = False
    fine: bool = False


@dataclass(frozen=True, slots=True)
class Turn:
    """One bar as played: the index of the written bar, and which time through its repeat it is."""

    index: int
    passage: int


def play_order(signs: tuple[Signs, ...]) -> tuple[Turn, ...]:
    """Written bars in the order in which they are played.

    Raises InputError where a sign leads nowhere, or the way would be longer than ``MAX_BARS``.
    """
    endings = _spread_endings(signs)
    order: list[Turn] = []
    index, start, passage = 0, 0, 1
    way = "first"  # then "again" after D.C. or D.S., then "coda"
    while index < len(signs):
        sign = signs[index]
        if endings[index] and not _is_taken(endings, index, passage, way == "again"):
            index += 1
            continue
        left_endings = index > start and endings[index - 1] and not endings[index]
        # A repeat sign opening inside an ending is a slip of the pen: it would cut the ending in two.
        if index != start and ((sign.forward and not endings[index]) or left_endings):
            start, passage = index, 1
        order.append(Turn(index, passage))
        if len(order) > MAX_BARS:
            raise InputError(f"played out, the repeats make more than {MAX_BARS} bars; check their numbers")
        if sign.fine and way != "first":
            break
        if sign.backward and way != "again":
            if passage < max(sign.backward, *_group(endings, index)):
                index, passage = start, passage + 1
                continue
            if not endings[index]:
                start, passage = index + 1, 1
        if way == "again" and sign.to_coda is not None:
            index, way = _find(signs, "coda", sign.to_coda, sign.bar), "coda"
            start, passage = index, 1
        elif way == "first" and (sign.to_start or sign.to_segno is not None):
            index = 0 if sign.to_segno is None else _find(signs, "segno", sign.to_segno, sign.bar)
            start, passage, way = index, 1, "again"
        else:
            index += 1
    return tuple(order)


def _spread_endings(signs: tuple[Signs, ...]) -> tuple[tuple[int, ...], ...]:
    """For every bar the numbers of the ending it stands in; empty outside of endings.

    Brackets are often drawn over the first bar only: a first ending goes on to its repeat sign.
    """
    found: list[tuple[int, ...]] = [()] * len(signs)
    for begin, sign in enumerate(signs):
        if sign.ending:
            end = _ending_end(signs, begin)
            found[begin : end + 1] = [sign.ending] * (end + 1 - begin)
    return tuple(found)


def _ending_end(signs: tuple[Signs, ...], begin: int) -> int:
    following = range(begin, len(signs))
    limit = next((i for i in following if i > begin and (signs[i].ending or signs[i].forward)), len(signs))
    stop = next((i for i in range(begin, limit) if signs[i].ending_stop or signs[i].backward), begin)
    repeat = next((i for i in range(stop, limit) if signs[i].backward), None)
    if repeat is not None:
        another = repeat + 1 < len(signs) and signs[repeat + 1].ending
        if 1 in signs[begin].ending or another:
            return repeat
    return stop


def _group(endings: tuple[tuple[int, ...], ...], index: int) -> tuple[int, ...]:
    """All numbers of the run of endings around a bar; (0,) where it stands in none."""
    if not endings[index]:
        return (0,)
    first, last = index, index
    while first > 0 and endings[first - 1]:
        first -= 1
    while last + 1 < len(endings) and endings[last + 1]:
        last += 1
    return tuple(number for numbers in endings[first : last + 1] for number in numbers)


def _is_taken(endings: tuple[tuple[int, ...], ...], index: int, passage: int, again: bool) -> bool:
    """Whether the ending at a bar is played in this passage.

    Past the last number the last ending is, unless there is a first one only; before the first
    number (in an excerpt, say) the first one there is.
    """
    numbers = _group(endings, index)
    last = max(numbers)
    wanted = last + passage if again else max(passage, min(numbers))
    return (min(wanted, last) if last > 1 else wanted) in endings[index]


def _find(signs: tuple[Signs, ...], kind: str, label: str, bar: str) -> int:
    """The bar of the segno or coda with that label, or of the only one there is."""
    labels = [getattr(sign, kind) for sign in signs]
    if label in labels:
        return labels.index(label)
    places = [index for index, found in enumerate(labels) if found is not None]
    if len(places) == 1:
        return places[0]
    raise InputError(f"bar {bar}: the jump to a {kind} finds no {kind} sign; add the sign or remove the jump")
