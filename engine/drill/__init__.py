"""Drills: a made-up installation to be found out by a pupil, what it was worth, and what to ask again; rule cards and a quiz."""
