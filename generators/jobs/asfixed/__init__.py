"""Things fixed in the wrong place with the hose in hand: the least to do again, by solving."""
