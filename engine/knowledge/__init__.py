"""The kb from YAML to checked records, compiled and cached, and as a graph."""
