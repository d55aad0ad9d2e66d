"""Bodies in the vehicle, how far apart they are and what they meet when they move; no kernel."""
