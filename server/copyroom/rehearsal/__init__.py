"""Simulated learners: a class to rehearse with, over real connections, before people come.

They are assumptions, not people. Nothing here knows how copies are aligned, so that a room full of
them tests the alignment instead of agreeing with it.
"""
