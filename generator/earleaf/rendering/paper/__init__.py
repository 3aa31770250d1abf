"""What is printed: pocket cards, sheets of cards and the field record, typeset with fonts that come along."""
