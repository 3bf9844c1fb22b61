from drawbar import models
from drawbar._options import ResponseInfo, RetryPolicy, Timeout, Units
from drawbar._version import __version__
from drawbar.client import AsyncClient, Client
from drawbar.errors import ApiError, BadRequest, BadSetting, Busy, ConnectionFailed, DrawbarError, Fault, Forbidden, ImpossibleInput, Incompatible, NotAcceptable, NotFound, Problem, ServerFault, TimedOut, TooLarge, TooManyRequests, Unauthorized, UnreadableAnswer, UnsupportedMedia
from drawbar.models import *
__all__ = ['ApiError', 'AsyncClient', 'BadRequest', 'BadSetting', 'Busy', 'Client', 'ConnectionFailed', 'DrawbarError', 'Fault', 'Forbidden', 'ImpossibleInput', 'Incompatible', 'NotAcceptable', 'NotFound', 'Problem', 'ResponseInfo', 'RetryPolicy', 'ServerFault', 'TimedOut', 'Timeout', 'TooLarge', 'TooManyRequests', 'Unauthorized', 'Units', 'UnreadableAnswer', 'UnsupportedMedia', '__version__']
__all__ += models.__all__
