// Generated from the service's words: run `python openapi/generate.py`.

export const LIMITS = {
  "power": "power",
  "slip": "slip",
  "pull": "what the soil carries",
  "front-axle": "the front axle",
  "tool-speed": "the speed range of the tool",
  "tool-depth": "the depth range of the tool",
  "search-end": "nothing within reason",
  "pushing": "the machine's push downhill",
  "braking": "braking downhill",
  "front-raised": "the front axle with the machine raised"
};

export const SHORT = {
  "power": "power",
  "slip": "slip",
  "pull": "soil",
  "front-axle": "front axle",
  "tool-speed": "tool speed",
  "tool-depth": "tool depth",
  "search-end": "nothing",
  "pushing": "push",
  "braking": "brakes",
  "front-raised": "front raised"
};

export const STOPS = {
  "power": "power runs out",
  "slip": "the wheels slip too much",
  "pull": "the soil carries no more pull",
  "front-axle": "the front axle gets too light",
  "tool-speed": "the tool's speed range ends",
  "tool-depth": "the tool's depth range ends",
  "search-end": "nobody would go further",
  "pushing": "the machine pushes the tractor downhill",
  "braking": "the wheels cannot hold it back downhill",
  "front-raised": "raising the machine lifts the front axle"
};

export const VERDICTS = {
  "holds": "Holds",
  "close": "Close",
  "fails": "Fails",
  "cannot-tell": "Cannot tell"
};
