"""Printed items: which sums stand on a sheet."""

from tracker.measures.sheets.timed import GENERATOR_VERSION, TimedSheet, timed_sheet

__all__ = ["GENERATOR_VERSION", "TimedSheet", "timed_sheet"]
