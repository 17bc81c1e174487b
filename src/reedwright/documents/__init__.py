"""Sheets and pages at true scale, as PDF and SVG.

A paper is one frozen value of ``model`` and one function: ``bench_sheet``,
``bench_table`` (its CSV), ``map_sheet``, ``pan_map``, ``report``. Pictures are
drawings in millimetres; ``svg`` writes them as files, ``pdf`` puts them on pages.
docs/theory/paper.md says what each paper shows and what is checked.
"""
