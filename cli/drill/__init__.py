"""The drill, its quiz and its cards: a conversation over a made-up installation, and the files that a pupil and a class keep."""
