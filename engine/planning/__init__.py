"""The decision of one step: what a role may do, what it costs, and the step with the least expected cost."""
