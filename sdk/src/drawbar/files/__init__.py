"""Batches over files: rows in, parts out, resumed where they stopped; on one machine or many.

=============  ================================================================
``rows``       what a source of rows is
``tables``     Parquet and Arrow, read some rows at a time
``text``       CSV, likewise
``grids``      values that make rows, every one with every other
``sources``    which of these a file is, told by its content
``parts``      one part: its rows asked, split and written
``manifest``   what the parts in a folder are parts of
``job``        what is to be done, checked against the service
``runner``     doing it: in this process, in many, on any executor
``origin``     what a folder was made of, and making it again
``dask``       the executor of a Dask cluster
=============  ================================================================

Needs `pip install './sdk[files]'`.
"""

from drawbar.files.job import Estimate, Job, estimate, prepare
from drawbar.files.manifest import BadJob
from drawbar.files.origin import Reproduced, reproduce
from drawbar.files.runner import Summary, run

__all__ = ["BadJob", "Estimate", "Job", "Reproduced", "Summary", "estimate", "prepare", "reproduce", "run"]
