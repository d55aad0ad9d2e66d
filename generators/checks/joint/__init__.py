"""Rules on what is bolted together."""
