"""Values with unit, tolerance and notation; designators; package sizes; revision labels."""
