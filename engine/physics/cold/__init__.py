"""Water that freezes: pipes, hoses, pumps, and what keeps them from it."""
