"""What was sold: entered when a kit is made, looked up later, recalled where something changed."""
