// The language in use.
export * from "./en.js";
