"""A shop's own numbers: its closed cases read from a store or from files, learned from, and told month by month."""
