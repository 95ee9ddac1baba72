"""Copyroom: a classroom server for teaching International Morse code by ear to a group."""
