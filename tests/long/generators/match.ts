// A match, typed from the contract.
import createClient from "openapi-fetch";
import type { components, paths } from "./contract.js";

const client = createClient<paths>({ baseUrl: "http://127.0.0.1:8000" });

const request: components["schemas"]["MatchRequest"] = {
  tractor: {
    drive: "front-wheel-assist",
    power: { rated_pto: "145 kW" },
    mass: { value: 9.4, unit: "t" },
    wheelbase: "2.82 m",
    tires: { front: { size: "540/65R30" }, rear: { size: "650/65R42" } },
  },
  implement: {
    hitch: "drawbar",
    tools: [{ tool: "field-cultivator.primary", count: 30, spacing: "20 cm", depth: "10 cm" }],
  },
  soil: { texture: "medium", surface: "firm" },
};

const { data, error } = await client.POST("/v1/match", { body: request, params: { query: { units: "metric" } } });
if (error) throw new Error(error.errors?.map((fault) => `${fault.pointer}: ${fault.detail}`).join("\n"));
console.log(data.verdict.summary);
if (data.greatest.speed?.holds) {
  // What an answer gives, a request takes.
  const again = await client.POST("/v1/match", { body: { ...request, speed: data.greatest.speed.holds } });
  if (again.error) throw new Error(again.error.detail);
  console.log(again.data.verdict.summary);
}
