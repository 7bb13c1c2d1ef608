"""The kb measured and held to its promises: its own cases, its words, how well it tells causes apart."""
