"""The answers of one look or fact: which of them some words mean, typed at a card or written with a pen."""
