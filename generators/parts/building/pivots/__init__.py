"""How pivots are made: plain or reamed bores, bushes, ball bearings, welded bosses, a spacer tube."""
