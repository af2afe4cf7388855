"""Pages of the cards: the officer's, the holder's own, and the public check."""
