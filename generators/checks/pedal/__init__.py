"""Rules on pedals: does it release, what it feels like, does its hanger give."""
