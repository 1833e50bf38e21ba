"""Tests of the comparison: who is who, and what differs."""
