"""From kb records to advice: graph, belief, choice, words; nothing here prints or prompts."""
