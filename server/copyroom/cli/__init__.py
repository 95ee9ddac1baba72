"""One module for each subcommand, loaded when it is called, so that `copyroom serve` starts fast."""
