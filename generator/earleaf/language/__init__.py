"""How hard a text is to read: syllables, sentences, formulas and a list of what plain language avoids."""
