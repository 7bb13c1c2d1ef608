"""dryfloor: from a washing machine's symptom to the installation rule that was broken."""

__version__ = "0.1.0"
