// The little of Node that plan.ts needs, in place of all of its types.
declare const process: { readonly argv: readonly string[] };
