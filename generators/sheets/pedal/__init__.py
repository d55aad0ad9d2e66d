"""What is said and drawn of a pedal."""
