"""Numbers of one's own: closed cases counted by EM into rates, strengths, leaks, shares, cures and reports, with the judgement as prior."""
