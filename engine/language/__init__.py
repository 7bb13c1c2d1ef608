"""Words to meaning: what a person said, as complaints, facts, answers and hazards."""
