"""Pairs of small files in the manner of what people publish, each with what truly happened, stated by hand."""
