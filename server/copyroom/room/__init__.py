"""The rules of a class as a pure state machine: events in, effects out."""
