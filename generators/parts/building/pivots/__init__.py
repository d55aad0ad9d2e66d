"""How pivots are made: plain or reamed bores, bushes, welded bosses, a spacer tube between the cheeks."""
