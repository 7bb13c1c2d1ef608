"""The physics as calculators. Each says what it takes, its units, its sources, how far it can be trusted, and what it means."""
