"""The terminal: one command, `fruitbody`, over all rooms."""
