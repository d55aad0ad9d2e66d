"""What holds a job together."""
