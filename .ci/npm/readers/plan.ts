// A reader of the document who writes TypeScript: asks a running service for a
// plan with the types that openapi-typescript makes. It is compiled against
// them, and run against the service whose URL it is given.
import type { components, paths } from "./generated/wattkeel.js";

type Request = components["schemas"]["ChargePlanRequest"];
type Operation = paths["/v1/charge-plans"]["post"];
type Plan = Operation["responses"][200]["content"]["application/json"];
type Problem = Operation["responses"][422]["content"]["application/problem+json"];

type Answer = { kind: "plan"; plan: Plan } | { kind: "problem"; problem: Problem };

async function ask(base: string, request: Request): Promise<Answer> {
  const response = await fetch(new URL("/v1/charge-plans", base), {
    method: "POST",
    headers: { "Content-Type": "application/json", Accept: "application/json" },
    body: JSON.stringify(request),
  });
  const media = response.headers.get("Content-Type");
  if (media === "application/problem+json") {
    return { kind: "problem", problem: (await response.json()) as Problem };
  }
  if (response.status !== 200 || media !== "application/json") {
    throw new Error(`unexpected: ${response.status} ${media}`);
  }
  return { kind: "plan", plan: (await response.json()) as Plan };
}

function tell(answer: Answer): string {
  if (answer.kind === "problem") {
    const faults = answer.problem.errors ?? [];
    return `${answer.problem.status}: ${faults.map((f) => f.pointer).join(" ")}`;
  }
  const { plan } = answer;
  switch (plan.verdict) {
    case "stop":
      return `stop: ${plan.findings.filter((f) => f.severity === "stop").map((f) => f.rule).join(" ")}`;
    case "clear":
    case "caution":
      if (plan.settings === undefined) throw new Error("no settings, and no stop");
      return `${plan.settings.program}: ${plan.settings.current_a} A`;
    default: {
      const never: never = plan.verdict; // the list of verdicts does not grow
      throw new Error(`unknown verdict ${never}`);
    }
  }
}

const request: Request = {
  pack: {
    id: "tq-021", chemistry: "lipo", cells_series: 3, capacity_mah: 2200,
    max_charge_c_rate: 5, cell_voltages_v: [3.72, 3.72, 3.72], condition: [],
  },
  charger: {
    id: "bench-a", chemistries: ["lipo", "nimh"], cells_series_min: 1, cells_series_max: 4,
    max_charge_current_a: 6, balance: "with_main_lead",
  },
  goal: { pace: "everyday" },
};

const expected: [string, Request, string][] = [
  ["a sound pack", request, "charge_balanced: 2.2 A"],
  ["a swollen pack", { ...request, pack: { ...request.pack, condition: ["swollen"] } }, "stop: pack-swollen"],
  ["a slip of the unit", { ...request, pack: { ...request.pack, capacity_mah: 2.2 } }, "422: /pack/capacity_mah"],
];

const base = process.argv[2];
if (base === undefined) throw new Error("give the URL of the service");
for (const [name, body, want] of expected) {
  const got = tell(await ask(base, body));
  if (got !== want) throw new Error(`${name}: ${got}, wanted ${want}`);
  console.log(`${name}: ${got}`);
}
