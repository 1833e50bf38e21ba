"""What is connected to what: which net of one netlist is which of another, and what differs between the two."""
