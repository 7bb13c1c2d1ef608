"""kb records -> graph -> belief -> choice -> advice; nothing here prints or prompts."""
