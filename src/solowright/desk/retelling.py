"""A reading with the player's say: the other telling where it was chosen, sentences edited, hidden or
added. Pure: a reading and the extras give the reading to show and whose each sentence is."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from solowright.desk.state import Extras, Telling, Wording
from solowright.harmony.record import Device, Reading, Sentence

Whose = Literal["found", "edited", "hidden", "own"]


@dataclass(frozen=True, slots=True)
class Retold:
    """A sentence, the identifier under which it is edited, whose it is, and what was found there."""

    sentence: Sentence
    id: str
    whose: Whose
    found: str = ""


@dataclass(frozen=True, slots=True)
class Retelling:
    """``devices`` and ``ids`` match one to one: the identifier of the device that was found there, under
    which the other telling is chosen. ``sentences`` holds the hidden ones too."""

    devices: tuple[Device, ...]
    ids: tuple[str, ...]
    chosen: frozenset[str]  # identifiers whose other telling is shown
    sentences: tuple[Retold, ...]

    def reading(self, found: Reading) -> Reading:
        """The reading as it is shown."""
        explained = {place for device in self.devices for place in device.notes}
        shown = tuple(retold.sentence for retold in self.sentences if retold.whose != "hidden")
        unexplained = len(found.notes) - len(explained)
        return replace(found, devices=self.devices, sentences=shown, unexplained=unexplained)


def retell(found: Reading, extras: Extras) -> Retelling:
    """The player's say over a reading. Choices about what isn't found any more are left aside."""
    chosen = {_telling_id(telling) for telling in extras.tellings}
    devices: list[Device] = []
    ids: list[str] = []
    retold: dict[str, str] = {}
    for device in found.devices:
        name = device_id(device)
        others: tuple[Device, ...] = (device,)
        if name in chosen and device.runner_up:
            first = replace(device, runner_up=())
            others = tuple(replace(other, runner_up=(first,)) for other in device.runner_up)
            retold[device.sentence] = " ".join(other.sentence for other in others)
        devices += others
        ids += [name] * len(others)
    sentences = _retell_sentences(found.sentences, retold, extras)
    return Retelling(tuple(devices), tuple(ids), frozenset(chosen & set(ids)), tuple(sentences))


def device_id(device: Device) -> str:
    """Under this name the other telling of a device is chosen."""
    return f"{device.start}~{device.end}~{device.kind}"


def _telling_id(telling: Telling) -> str:
    return f"{telling.start}~{telling.end}~{telling.kind}"


def _retell_sentences(
    found: Sequence[Sentence], retold: dict[str, str], extras: Extras
) -> list[Retold]:
    worded = {_wording_id(wording): wording for wording in extras.wordings}
    told = []
    for name, sentence in _numbered(found):
        wording = worded.pop(name, None)
        text = retold.get(sentence.text, sentence.text)
        if wording is None:
            told.append(Retold(replace(sentence, text=text), name, "found"))
        elif wording.text is None:
            told.append(Retold(replace(sentence, text=text), name, "hidden"))
        else:
            told.append(Retold(replace(sentence, text=wording.text), name, "edited", text))
    # The player's words outlive the sentence that they replaced.
    left = [wording for wording in worded.values() if wording.text is not None]
    told += [Retold(Sentence(w.text or "", w.start, w.end), _wording_id(w), "edited") for w in left]
    told += [
        Retold(Sentence(remark.text, remark.start, remark.end), f"remark~{index}", "own")
        for index, remark in enumerate(extras.remarks)
    ]
    return sorted(told, key=lambda one: (one.sentence.start, -one.sentence.end))


def _numbered(sentences: Sequence[Sentence]) -> Iterator[tuple[str, Sentence]]:
    """The sentences with their identifiers: the passage, and a count where several speak of it."""
    turns: Counter[tuple[object, object]] = Counter()
    for sentence in sentences:
        turn = turns[sentence.start, sentence.end]
        turns[sentence.start, sentence.end] += 1
        yield f"{sentence.start}~{sentence.end}~{turn}", sentence


def _wording_id(wording: Wording) -> str:
    return f"{wording.start}~{wording.end}~{wording.turn}"
