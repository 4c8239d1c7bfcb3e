// Every statement here is wrong by the document, and says so: an expectation
// that no error meets is an error itself, so this compiles only while the
// compiler refuses each of them. The check that it can fail is in .ci/readers.
import type { components } from "./generated/wattkeel.js";

type Schemas = components["schemas"];

// @ts-expect-error a chemistry that does not exist
export const chemistry: Schemas["ChemistryName"] = "lead";

// @ts-expect-error a text for a number
export const capacity: Schemas["Pack"]["capacity_mah"] = "2200";

// @ts-expect-error a required member is left out
export const pack: Schemas["Pack"] = { chemistry: "lipo", cells_series: 3 };

// @ts-expect-error a misspelled member
export const misspelled: Schemas["Pack"] = { chemistry: "lipo", cells_series: 3, capacity_mah: 2200, capacity_ah: 2.2 };

// @ts-expect-error the settings are absent when the verdict is stop
export const current = (plan: Schemas["ChargePlan"]): number => plan.settings.current_a;
