"""A form to a case and back: addresses, the places of a case, notes of cleared gates, and what a form or some words say."""
