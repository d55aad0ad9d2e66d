"""The manual: pages made from the code itself, as one file that needs no network."""
