"""What happens when tractor, implement, soil and field meet: SI records in, SI records and findings out.

Everything here takes floats or one value for each row, knows no wire format and no units, and makes no sentences: what
it has to say beside its numbers are :mod:`~drawbar_service.model.findings`.
"""
