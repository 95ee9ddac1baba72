"""Schema changes, in order. The last revision is `HEAD`."""

HEAD = "0001"
