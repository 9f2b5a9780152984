"""The page: notation over tablature with chords, fingers and reasons, as SVG, PNG and PDF.

verovio lays out the notation staff; everything around it, tablature included, is drawn here from
the places that the notes got, so nothing has to be guessed and nothing can collide unseen.
Lengths are points (1/72 inch), x runs right and y runs down.
"""
