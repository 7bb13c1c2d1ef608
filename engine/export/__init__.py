"""The kb drawn as a graph and written as linked pages."""
