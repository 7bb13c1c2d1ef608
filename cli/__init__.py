"""The terminal's side of dryfloor: arguments, the walk, and rendering advice into lines."""
