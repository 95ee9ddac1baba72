"""The pure core: text -> bursts -> copies -> alignment -> tally -> evidence -> advice. No I/O, no clock."""
