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

export const VERDICTS = {
  "holds": "Holds",
  "close": "Close",
  "fails": "Fails",
  "cannot-tell": "Cannot tell"
};
