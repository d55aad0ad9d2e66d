"""What the keys of the machines that bend say of each other."""
