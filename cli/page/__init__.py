"""The page: one more face on `advise`, for a browser; imported by `dryfloor serve` alone."""
