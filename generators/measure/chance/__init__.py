"""Vehicles and people drawn at random, and whether a kit goes together on them."""
