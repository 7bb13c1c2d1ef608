"""A finished installation held against every rule, with a sheet to fill in."""
