"""POST /v1/season: which tractor on which implement on which field on which day, and whether it gets done."""

import datetime as dt
import math
from typing import Annotated, NamedTuple

import msgspec
import numpy as np
from msgspec import Meta

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.fleet import Fleet, Prices, SeasonField, Window, Work
from drawbar_service.api.v1.implement import EXAMPLE_IMPLEMENT
from drawbar_service.api.v1.pairings import Pairing, nearest_miss, pairing_answer, pairings
from drawbar_service.api.v1.season_answer import (
    FinishOdds,
    Named,
    Outcome,
    Relaxation,
    ResourceAnswer,
    Search,
    SeasonAnswer,
    SeasonCost,
    SeasonVerdict,
    TaskAnswer,
    Use,
    outcome,
    plan_rows,
    uses,
)
from drawbar_service.api.v1.tractor import EXAMPLE_TRACTOR
