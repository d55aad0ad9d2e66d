"""What kinds of bracket are built with: openings, bends, channels, rims; and what any plan may get."""
