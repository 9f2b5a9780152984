"""What each way of making notes is, told once to a student: its name, what it does, how to practise it.

Common practice, no source; the sentences are ours. Kinds as in ``harmony.devices``.
"""

from __future__ import annotations

from typing import NamedTuple


class DeviceText(NamedTuple):
    """A device's heading, what it is, and what to do with it."""

    title: str
    what: str
    practise: str


DEVICE_TEXTS = {
    "chord-arpeggio": DeviceText(
        "Arpeggio of the chord",
        "The chord's own tones one after the other, so that the line alone tells the listener which chord "
        "it is.",
        "Say the degrees aloud while you play; begin it from another tone each time.",
    ),
    "upper-triad": DeviceText(
        "Upper triad",
        "A plain triad that lies in the upper part of the chord: a shape everybody knows, giving tones that "
        "would be hard to reach for one by one.",
        "Let the chord sound, play the triad over it, and listen for what it adds.",
    ),
    "superimposed-chord": DeviceText(
        "One chord over another",
        "The arpeggio of another chord laid over the written one, because the two share what matters.",
        "Play the written chord first, then the line, and hear which tones are new.",
    ),
    "scale-run": DeviceText(
        "Scale run",
        "Steps along the scale that the chord asks for, aimed at a tone on a strong beat.",
        "Find the note it lands on and play the run backwards from there.",
    ),
    "pentatonic-run": DeviceText(
        "Pentatonic run",
        "Five notes to the octave and no half steps: it sounds open and carries over several chords.",
        "Play it in two positions, so that it doesn't hang on one fret.",
    ),
    "blues-cell": DeviceText(
        "Blues cell",
        "A turn with the blue notes that rub against the chord's own third, fifth or seventh.",
        "Sing it before you play it; the rub is in the ear, not in the fingers.",
    ),
    "chromatic-run": DeviceText(
        "Chromatic run",
        "Half steps in a row: no harmony of its own, only the pull towards where it goes.",
        "Set the first and the last note on their beats, then fill in what lies between.",
    ),
    "shape-shift": DeviceText(
        "One shape moved along the neck",
        "The same fingering carried by a constant distance. The hand learns one thing, the ear hears a "
        "pattern that leaves the key and comes back.",
        "Play only the first note of each shape until the shifts are sure, then the whole shapes.",
    ),
    "half-step-link": DeviceText(
        "The chord in the half step between",
        "Between two chords a step apart the line slips through the one in the crack, and is home before "
        "anybody minds.",
        "Play the first and the third shape without the middle one, then put it back.",
    ),
    "sequence": DeviceText(
        "Sequence",
        "A small figure said again and again from another step; the ear takes it for granted after the "
        "second time, so it carries far.",
        "Know the beat where it stops, and the note it lands on.",
    ),
    "transposed-phrase": DeviceText(
        "The same phrase at another pitch",
        "A phrase that comes back higher or lower with its rhythm kept, as the chords under it move.",
        "Play both one after the other and look for what the hand does the same way.",
    ),
    "varied-echo": DeviceText(
        "Varied repeat",
        "What was said before comes back a little changed: the listener knows it again and is surprised.",
        "Play the first one twice, then the two in turn, and name the note that differs.",
    ),
    "trill": DeviceText(
        "Trill",
        "Two notes in quick turn from one pick stroke, to hold a tone alive.",
        "Count what it lasts; a trill that is late in ending makes the next note late.",
    ),
    "double-stop": DeviceText(
        "Double stop",
        "Two notes together: a third, a sixth or a tritone can say a whole chord.",
        "Set both fingers before you pick, and pick both strings with one stroke.",
    ),
    "chord-punch": DeviceText(
        "Chords between the notes",
        "A chord struck short among single notes, as a band would strike it.",
        "Practise the way from the last single note into the grip alone.",
    ),
    "ringing-run": DeviceText(
        "Ringing across the strings",
        "A run laid over neighbouring strings so that its notes ring into each other.",
        "Keep every finger down until the next one sounds.",
    ),
    "open-string-figure": DeviceText(
        "Open-string figure",
        "An open string struck or pulled to between fretted notes: fast and loud for little work, with a "
        "drone in it.",
        "Leave the open string alone at first and play only the tune of the fretted notes.",
    ),
    "pedal": DeviceText(
        "Pedal",
        "One tone that stays while the chords under it change.",
        "Say at every change what the tone has become.",
    ),
    "common-tone": DeviceText(
        "Common tone",
        "A tone that two chords share, held or struck again over the change.",
        "Listen to the chord turn around it.",
    ),
    "enclosure": DeviceText(
        "Enclosure",
        "A target is taken from both sides, from above and from below, before it sounds.",
        "Play the target first on its beat, then the two notes before it.",
    ),
    "harmonics": DeviceText(
        "Harmonics",
        "Strings touched over a node instead of being pressed: bell tones.",
        "Touch straight over the fret wire and leave as soon as the string sounds.",
    ),
    "slide-into-hit": DeviceText(
        "Slide into a hit",
        "A slide that arrives on the band's hit, so that the whole band seems to bend.",
        "Leave late and arrive on time: the hit counts, not the slide.",
    ),
    "band-hit": DeviceText(
        "With the band's hits",
        "The line strikes what the band strikes, and is heard as one with it.",
        "Play it with the band track and listen for one sound, not two.",
    ),
    "answer": DeviceText(
        "Answer to the band",
        "The line leaves room for what the band says, and then replies.",
        "Sing the band's answer in the rest, then come in.",
    ),
}  # fmt: skip
