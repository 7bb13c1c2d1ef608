"""The conversation: a loop over `advise`."""
