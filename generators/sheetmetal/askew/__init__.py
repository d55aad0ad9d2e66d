"""What a bend line askew shifts along its fold, and how far it may be askew for that."""
