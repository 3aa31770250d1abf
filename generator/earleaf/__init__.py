"""Earleaf: field manuals for plant-tissue sampling, made from a checked protocol database."""

__version__ = "0.1.0"
