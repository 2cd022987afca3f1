"""Blade sections: what a scenario's name or coordinate file stands for, for masses and air alike.

Section coordinates: x behind the leading edge along the chord line, y toward the thrust side, in chords.
"""
