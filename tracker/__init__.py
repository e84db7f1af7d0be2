"""Doublerule: arithmetic fluency tracker and gradebook for primary schools."""
