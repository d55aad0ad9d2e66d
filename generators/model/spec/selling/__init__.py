"""What a shop that sells kits says of them: bags, boxes and labels."""
