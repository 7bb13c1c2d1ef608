"""Typed values to SI and back, and a reading held against limits (JCGM 106)."""
