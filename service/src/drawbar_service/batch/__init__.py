"""One scenario whose leaves are columns: many rows of a calculation in one request.

========================  ==========================================================
``leaves``                a JSON Pointer into a request or an answer, and what kind of value it leads to
``table``                 columns with their units, in and out; faults by row
``plan``                  a scenario and what varies in it, checked and laid out in rows
``rows``                  any calculation, one row after the other
``match``                 matches on arrays: what varies by number goes through the engine all at once
``run``                   blocks of rows, over threads
========================  ==========================================================
"""
