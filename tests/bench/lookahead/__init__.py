"""A rival of the shipped choice: parallel rollout once few causes are alive, else one step ahead."""
