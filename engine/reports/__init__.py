"""A case told to somebody else: the hand-over card, the plan of a visit, the report, its place in the queue."""
