"""Control as data: signals, control objects, states, set points, and the flat table the simulation runs."""
