"""From a case to evidence, and from evidence to a belief over causes and the few explanations worth planning for."""
