from __future__ import annotations
from types import NoneType
from typing import Final
from drawbar import models
from drawbar._wire import MSGPACK, Operation
SHEET_PAGE: Final = Operation('POST', '/v1/sheet', bytes, accept='text/html')
PICTURE: Final = Operation('POST', '/v1/curves/{curve}', bytes)
BATCH: Final = Operation('POST', '/v1/batch/{calculation}', models.BatchAnswer, sends=MSGPACK, accept=MSGPACK)
REFERENCE_TABLES: Final = Operation('GET', '/v1/reference', models.TablesAnswer, takes_units=False)
REFERENCE_TABLE: Final = Operation('GET', '/v1/reference/{table}', models.WholeTableAnswer, takes_units=False)
METHODS: Final = Operation('GET', '/v1/methods/{calculation}', models.MethodsAnswer, takes_units=False)
SOURCES: Final = Operation('GET', '/v1/sources', models.SourcesAnswer, takes_units=False)
VERSION: Final = Operation('GET', '/version', models.VersionAnswer, takes_units=False)
LIVEZ: Final = Operation('GET', '/livez', models.HealthAnswer, takes_units=False)
READYZ: Final = Operation('GET', '/readyz', NoneType, takes_units=False)
