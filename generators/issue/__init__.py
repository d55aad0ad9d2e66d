"""A finished folder: its artefacts, lock, manifest, swap and proof."""
