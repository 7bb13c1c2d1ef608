"""Streams, layout and prompts; the only importer of prompt_toolkit."""
