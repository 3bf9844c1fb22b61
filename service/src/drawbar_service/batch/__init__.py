"""One scenario whose leaves are columns: many rows of a calculation in one request.

========================  ==========================================================
``leaves``                a JSON Pointer into a request or an answer, and what kind of value it leads to
``table``                 columns with their units, in and out; faults by row
``plan``                  a scenario and what varies in it, checked and laid out in rows
``rows``                  any calculation, one row after the other
``together``              rows on arrays: what varies by number goes through the engine all at once
``run``                   blocks of rows, over threads
``cells``, ``parts``      values going out, rows coming in: what all formats share
``as_columns``            JSON and MessagePack
``as_ndjson``, ``as_csv`` rows as text
``as_arrow``              Arrow streams; ``arrow_stream`` reads them without trust, ``arrow_out`` writes them
``flat``                  the messages of such a stream, read and written
``formats``               which media type is whose
``answer``                from the bytes of a batch to the bytes of its answer
``serve``, ``route``      over HTTP, off the event loop
``operation``             in the contract
========================  ==========================================================
"""
