"""The demo scenario: an invented clinic and a dozen submissions at every stage, played through the desk's actions."""
