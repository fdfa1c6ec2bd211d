/** A piece that a page asks for by itself stays as it is where the answer is a refusal or a failure, and is asked for again. */
export const keptOnFailure = { "hx-status:4xx": "swap:none", "hx-status:5xx": "swap:none" } as const;
