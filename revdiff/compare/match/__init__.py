"""Who is who among the parts of a board: one cost, stay put first."""
