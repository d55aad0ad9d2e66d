"""`spread`: a kit put on vehicles and by people drawn at random, and what would help."""
