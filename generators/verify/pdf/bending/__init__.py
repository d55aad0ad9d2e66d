"""Setup sheets read back: words and pictures of every bend against the blank and the machines."""
