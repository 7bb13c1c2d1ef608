"""The posterior over causes by bucket elimination (Dechter 1996) over a noisy-OR decomposition, with virtual evidence (Pearl 1988); knows no kb."""
