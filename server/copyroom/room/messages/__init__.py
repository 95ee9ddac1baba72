"""What each audience is told of a room: one class a message, one file a noun, its view beside it."""
