import globals from "globals";

export default [
  { ignores: ["vendor/", "node_modules/"] },
  {
    languageOptions: { ecmaVersion: 2023, sourceType: "module", globals: { ...globals.browser } },
    rules: {
      "no-undef": "error",
      "no-unused-vars": ["error", { argsIgnorePattern: "^_" }],
      "prefer-const": "error",
      eqeqeq: ["error", "always", { null: "ignore" }],
      "no-var": "error",
      "no-eval": "error",
      "no-implied-eval": "error",
      "no-restricted-properties": [
        "error",
        { property: "innerHTML", message: "User text goes through textContent or a lit binding." },
        { property: "outerHTML", message: "User text goes through textContent or a lit binding." },
      ],
      "no-restricted-syntax": [
        "error",
        {
          selector: "CallExpression[callee.property.name='insertAdjacentHTML']",
          message: "No markup from text.",
        },
      ],
      "no-throw-literal": "error",
      "require-atomic-updates": "off",
    },
  },
  {
    files: ["*.cjs", ".*.cjs"],
    languageOptions: { sourceType: "commonjs", globals: { ...globals.node } },
  },
  { files: ["log/open.js"], languageOptions: { sourceType: "script" } },
  {
    files: ["sw.js"],
    languageOptions: { sourceType: "script", globals: { ...globals.serviceworker } },
  },
];
