from drawbar.files.job import Estimate, Job, estimate, prepare
from drawbar.files.manifest import BadJob
from drawbar.files.runner import Summary, run
__all__ = ['BadJob', 'Estimate', 'Job', 'Summary', 'estimate', 'prepare', 'run']
