"""Hostile input, made by hypothesis and by mutation of bytes; what must hold whatever comes in, and the resources it may take."""
