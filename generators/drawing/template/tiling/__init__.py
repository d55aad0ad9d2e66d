"""How the sheets of a template are laid: which tiles of a grid are printed."""
