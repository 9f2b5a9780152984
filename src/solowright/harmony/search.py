"""What each phrase of a line may hold, and how it is told shortest; after an edit only for the phrases
that changed.

The families of ``IN_PHRASE`` look at no more than a phrase, the chords under it and those next to them:
where these are what they were, so is what was found, even if the phrase stands elsewhere now.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from solowright.harmony.choice import choose_devices, choose_runner_up
from solowright.harmony.devices import IN_PHRASE
from solowright.harmony.devices.found import Found
from solowright.harmony.devices.sequence import landing_place
from solowright.harmony.ground import Ground

Telling = tuple[Found, tuple[Found, ...]]  # a device, and the next shortest telling of its notes


@dataclass(frozen=True, slots=True)
class Search:
    """A line laid out, and for each of its phrases the devices that tell it shortest."""

    ground: Ground
    phrases: tuple[tuple[Telling, ...], ...]


def search_phrases(ground: Ground, *earlier: Search) -> Search:
    """The devices of the families of ``IN_PHRASE`` that tell each phrase shortest. Phrases that were the
    same in an ``earlier`` search keep theirs."""
    kept: dict[tuple[int, int], tuple[Telling, ...]] = {}
    for search in earlier:
        if len(kept) < len(ground.phrases):
            kept = _keep(ground, search) | kept
    changed = tuple(phrase for phrase in ground.phrases if phrase not in kept)
    new = dict(zip(changed, _search(ground, changed), strict=True))
    return Search(ground, tuple(kept[phrase] if phrase in kept else new[phrase] for phrase in ground.phrases))


def _search(ground: Ground, phrases: tuple[tuple[int, int], ...]) -> list[tuple[Telling, ...]]:
    """The shortest telling of each of the phrases."""
    if not phrases:
        return []
    starts = {first: place for place, (first, _) in enumerate(phrases)}
    stretches = tuple(stretch for stretch in ground.stretches if ground.phrase(stretch[0])[0] in starts)
    found: list[list[Found]] = [[] for _ in phrases]
    part = replace(ground, phrases=phrases, stretches=stretches)
    for find in IN_PHRASE:
        for device in find(part):
            found[starts[ground.phrase(device.start)[0]]].append(device)
    return [_choose(ground, phrase, devices) for phrase, devices in zip(phrases, found, strict=True)]


def _choose(ground: Ground, phrase: tuple[int, int], found: list[Found]) -> tuple[Telling, ...]:
    first, stop = phrase
    sizes = tuple(len(event.notes) for event in ground.events[first:stop])
    inside = [_move(device, -first) for device in found]
    by_start: dict[int, list[Found]] = {}
    for device in inside:
        by_start.setdefault(device.start, []).append(device)
    tellings = []
    for device in choose_devices(inside, sizes):
        near = [other for start in range(device.start, device.stop) for other in by_start.get(start, ())]
        others = choose_runner_up(device, near, sizes)
        tellings.append((_move(device, first), tuple(_move(other, first) for other in others)))
    return tuple(tellings)


def _keep(ground: Ground, previous: Search) -> dict[tuple[int, int], tuple[Telling, ...]]:
    """The tellings of phrases that haven't changed, as they stand in the line now."""
    old = previous.ground
    if (old.ticks, old.tune.key) != (ground.ticks, ground.tune.key):
        return {}
    rows = list(zip(old.phrases, previous.phrases, strict=True))
    from_start = {old.events[there[0]].start: row for row in rows for there in row[:1]}
    from_end = {old.end - old.events[there[0]].start: row for row in rows for there in row[:1]}
    kept: dict[tuple[int, int], tuple[Telling, ...]] = {}
    for phrase in ground.phrases:
        start = ground.events[phrase[0]].start
        for row in (from_start.get(start), from_end.get(ground.end - start)):
            if row and ground.is_same_phrase(phrase, old, row[0]):
                kept[phrase] = _take_over(ground, row[1], phrase[0] - row[0][0])
                break
    return kept


def _take_over(ground: Ground, tellings: tuple[Telling, ...], by: int) -> tuple[Telling, ...]:
    """Tellings of a phrase that lies so many events further on, with the bars as they count now."""

    def placed(device: Found) -> Found:
        moved = _move(device, by)
        if "lands_on" not in device.facts:
            return moved
        return moved._replace(facts={**device.facts, "lands_on": landing_place(ground, moved.stop)})

    return tuple((placed(device), tuple(map(placed, others))) for device, others in tellings)


def _move(device: Found, by: int) -> Found:
    return device._replace(start=device.start + by, stop=device.stop + by) if by else device
