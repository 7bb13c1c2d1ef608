"""Drills: a pupil finds out a made-up installation, is told what it was worth, and is asked again; rule cards, a quiz, a class summed."""
