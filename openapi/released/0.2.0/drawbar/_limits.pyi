from collections.abc import Mapping
from typing import Final
STOPS: Final[Mapping[str, str]] = {'power': 'power runs out', 'slip': 'the wheels slip too much', 'pull': 'the soil carries no more pull', 'front-axle': 'the front axle gets too light', 'tool-speed': "the tool's speed range ends", 'tool-depth': "the tool's depth range ends", 'search-end': 'nobody would go further', 'pushing': 'the machine pushes the tractor downhill', 'braking': 'the wheels cannot hold it back downhill', 'front-raised': 'raising the machine lifts the front axle'}
SHORT: Final[Mapping[str, str]] = {'power': 'power', 'slip': 'slip', 'pull': 'soil', 'front-axle': 'front axle', 'tool-speed': 'tool speed', 'tool-depth': 'tool depth', 'search-end': 'nothing', 'pushing': 'push', 'braking': 'brakes', 'front-raised': 'front raised'}
VERDICTS: Final[Mapping[str, str]] = {'holds': 'holds', 'close': 'close', 'fails': 'fails', 'cannot-tell': 'cannot tell'}
