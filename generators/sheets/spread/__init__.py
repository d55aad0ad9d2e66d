"""The page of a spread: the chance, which step fails, which inputs matter, what would help."""
