"""Blocks of variants that share a structure, worked out together: arrays with variants on the last axis.

Every step is that of ``ledcalc.evaluation`` for many fixtures at once; the formulas are those of layer 2.
"""
