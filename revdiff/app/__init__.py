"""The whole line from bytes to a result: this folder alone opens, loads, compares and judges; all else calls it.

``review`` for two revisions and for one alone, ``check`` for a change; each is imported only where it is called.
"""
