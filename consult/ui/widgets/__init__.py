"""The parts of the call desk; each shows the state it is handed and holds none of its own."""
