// The request as it can be sent from elsewhere: JSON, a command line, Python, TypeScript.

import { byId, say } from "./dom.js";
import { hasKey } from "./ask.js";
import { system } from "./units.js";

const WIDTH = 88;

// JSON that breaks a line only where it would not fit; `words` spells true, false and null.
function laidOut(value, words, indent = 0) {
  const flat = spelt(value, words);
  if (flat.length + indent <= WIDTH || typeof value !== "object" || value === null) return flat;
  const pad = " ".repeat(indent + 2);
  const list = Array.isArray(value);
  const lines = Object.entries(value).map(
    ([key, member]) => `${pad}${list ? "" : `${JSON.stringify(key)}: `}${laidOut(member, words, indent + 2)}`,
  );
  const [open, close] = list ? ["[", "]"] : ["{", "}"];
  return `${open}\n${lines.join(",\n")}${list || words === JSON_WORDS ? "" : ","}\n${" ".repeat(indent)}${close}`;
}

const JSON_WORDS = { true: "true", false: "false", null: "null" };
const PYTHON_WORDS = { true: "True", false: "False", null: "None" };

function spelt(value, words) {
  if (Array.isArray(value)) return `[${value.map((one) => spelt(one, words)).join(", ")}]`;
  if (typeof value === "object" && value !== null) {
    return `{${Object.entries(value).map(([key, one]) => `${JSON.stringify(key)}: ${spelt(one, words)}`).join(", ")}}`;
  }
  return words[String(value)] !== undefined && typeof value !== "string" ? words[String(value)] : JSON.stringify(value);
}

const SHOWN = {
  match: "print(answer.verdict.summary)\nprint(answer.at_work.slip, answer.capacity.effective)",
  completion: "print(answer.summary)",
  cost: "print(answer.total.per_area, answer.total.per_year)",
};

const REQUESTS = { match: "MatchRequest", completion: "CompletionRequest", cost: "CostRequest" };
const TYPED = { match: "data.verdict.summary", completion: "data.summary", cost: "data.total.per_area" };

const FORMS = {
  typescript,
  json: (question) => laidOut(question.body, JSON_WORDS),
  curl: (question) => {
    const address = new URL(`${question.path}?units=${system}`, document.baseURI);
    const body = laidOut(question.body, JSON_WORDS).replaceAll("'", "'\\''");
    const bearer = hasKey() ? '  -H "Authorization: Bearer $DRAWBAR_API_KEY" \\\n' : "";
    return `curl -s '${address}' \\\n  -H 'Content-Type: application/json' \\\n${bearer}  -d '${body}'`;
  },
  python: (question) => {
    const address = new URL(".", document.baseURI).href.replace(/\/$/, "");
    const bearer = hasKey() ? "# The environment variable DRAWBAR_API_KEY holds the key.\n" : "";
    return (
      `from drawbar import Client\n\nrequest = ${laidOut(question.body, PYTHON_WORDS)}\n\n${bearer}` +
      `with Client(${JSON.stringify(address)}, units="${system}") as client:\n` +
      `    answer = client.${question.calculation}(request)\n${SHOWN[question.calculation]}\n`
    );
  },
};

// As deploy/CLIENTS.md has it: types made from the contract, and a client that knows them.
function typescript(question) {
  const address = new URL(".", document.baseURI).href.replace(/\/$/, "");
  const bearer = hasKey() ? ", headers: { Authorization: `Bearer ${process.env.DRAWBAR_API_KEY}` }" : "";
  const path = `/${question.path}`;
  return [
    "// npm install openapi-typescript openapi-fetch",
    `// npx openapi-typescript ${address}/openapi/drawbar-v1.json --output contract.d.ts`,
    'import createClient from "openapi-fetch";',
    'import type { components, paths } from "./contract.js";',
    "",
    `const client = createClient<paths>({ baseUrl: ${JSON.stringify(address)}${bearer} });`,
    `const body: components["schemas"]["${REQUESTS[question.calculation]}"] = ${laidOut(question.body, JSON_WORDS)};`,
    `const { data, error } = await client.POST(${JSON.stringify(path)}, { body, params: { query: { units: "${system}" } } });`,
    "if (error) throw new Error(error.detail);",
    `console.log(${TYPED[question.calculation]});`,
  ].join("\n");
}

export function showCode(questions) {
  const question = questions[byId("code-of").value];
  const form = byId("code-as").value;
  for (const button of document.querySelectorAll("[data-done]")) delete button.dataset.done;
  byId("copied").textContent = "";
  byId("code-text").textContent = question ? FORMS[form](question) : "Asked once the job holds or is close.";
}

// `otherwise` selects the text where it stands, and says so.
export async function copy(text, button, otherwise) {
  try {
    await navigator.clipboard.writeText(text);
    button.dataset.done = "";
    tellOfCopy(button, "Copied.");
  } catch {
    // Plain HTTP from another machine never has leave to write; the old way still works in most places there.
    const words = otherwise();
    tellOfCopy(button, document.execCommand("copy") ? "Copied." : words);
  }
}

// In sight and aloud: a copy that failed in silence is pasted from something else.
function tellOfCopy(button, words) {
  byId("copied").textContent = words;
  button.after(byId("copied"));
  say(words);
}

export function selectCode() {
  getSelection().selectAllChildren(byId("code-text"));
  return "It cannot be copied from here. The request is selected: press the copy key.";
}
