"""Arithmetic of crops and weather: numbers and arrays in, numbers and arrays out."""
