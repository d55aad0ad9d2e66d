"""Plane outlines, frames and folding transforms; numpy only."""
