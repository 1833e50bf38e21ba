"""The arithmetic of boards that meet: pure functions, no model. Units: V, A, Ω, F, s, Hz."""
