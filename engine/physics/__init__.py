"""The physics behind the rules: plain formulas, SI in and SI out, each with its validity and its source."""
