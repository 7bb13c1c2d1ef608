"""Hostile requests, files, stores and key presses, made at random; what must hold whatever comes."""
