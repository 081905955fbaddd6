import globals from "globals";

// The rule texts/no-text-outside refuses text for makers outside texts/: letters in `html` templates, and
// literals that read like a sentence.

const SPOKEN = /\b(aria-label|aria-description|aria-valuetext|placeholder|title|alt)=$/;
const UNITS = /^(mm|cm|g|kg|h|min|s|g\/cm³|kg\/m²)$/;

/** Letters between the tags of a template, with expressions as one blank sign; attribute values that are read out. */
function* shownWords(quasis) {
  let tag = false,
    quote = "",
    spoken = false,
    words = "",
    before = "";
  for (const quasi of quasis) {
    for (const sign of quasi.value.raw) {
      if (!tag) {
        if (sign !== "<") words += sign;
        else {
          yield words;
          [tag, words, before] = [true, "", ""];
        }
      } else if (quote) {
        if (sign === quote) {
          if (spoken) yield words;
          [quote, words, spoken] = ["", "", false];
        } else words += sign;
      } else if (sign === '"' || sign === "'") {
        [quote, spoken, words] = [sign, SPOKEN.test(before), ""];
      } else if (sign === ">") {
        [tag, words] = [false, ""];
      } else before += sign;
    }
    if (!tag || quote) words += " \u0000 ";
    else before = "";
  }
  if (!tag) yield words;
}

const isText = (words) =>
  words
    .split(/[\s\u0000]+/)
    .map((word) => word.replace(/&\w+;/g, "").replace(/^[^\p{L}]+|[^\p{L}²³]+$/gu, ""))
    .some((word) => /\p{L}/u.test(word) && !UNITS.test(word));

/** A capital and small letters to begin with, three words on end, or a full stop after a word. */
const SENTENCE = /^[A-Z][a-z]+([ ,:.!?]|$)|\b[a-z]+[,:]? [a-z]+[,:]? [a-z]+\b|[a-z]{2}[.!?]( |$)/;
/** Names of the platform, not words for makers. */
const NAMES =
  /^(Escape|Enter|Tab|Space|Backspace|Delete|Shift|Control|Alt|Meta|Home|End|Arrow\w+|Page\w+|Content-Type|Infinity)$/;
/** Class names, selectors, media queries, drawing commands, paths of fields and other code. */
const CODE = /^[\s.#:[(@>]|^import |^[a-z]+\.$|^M-?\d|[{}=<>_$\\|]|^\w+-\w|^[a-z-]+( [a-z-]+)?$/;

/** What takes a selector. */
const SELECTING = /^(closest|matches|querySelector(All)?)$/;

const noTextOutsideTexts = {
  meta: {
    type: "problem",
    messages: { text: "Texts for makers belong in texts/: “{{words}}”." },
    schema: [],
  },
  create(context) {
    const report = (node, words) =>
      context.report({
        node,
        messageId: "text",
        data: { words: words.replaceAll("\u0000", "…").replace(/\s+/g, " ").trim().slice(0, 60) },
      });
    const sentence = (node, words) => {
      const trimmed = words.trim();
      if (SENTENCE.test(trimmed) && !NAMES.test(trimmed) && !CODE.test(trimmed))
        report(node, words);
    };
    const isSelector = ({ parent }) =>
      parent.type === "CallExpression" && SELECTING.test(parent.callee.property?.name);
    const inTemplate = (node) =>
      node.parent.type === "TaggedTemplateExpression" &&
      ["html", "svg"].includes(node.parent.tag.name);
    return {
      TemplateLiteral(node) {
        if (!inTemplate(node))
          return sentence(node, node.quasis.map((q) => q.value.cooked).join("\u0000"));
        for (const words of shownWords(node.quasis)) if (isText(words)) report(node, words);
      },
      Literal(node) {
        if (typeof node.value !== "string" || node.parent.type === "ImportDeclaration") return;
        if (isSelector(node)) return;
        if (node.parent.type === "ImportExpression" || node.parent.type === "ExportAllDeclaration")
          return;
        sentence(node, node.value);
      },
    };
  },
};

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
    ignores: ["texts/**", "*.config.js", ".*.cjs"],
    plugins: { texts: { rules: { "no-text-outside": noTextOutsideTexts } } },
    rules: { "texts/no-text-outside": "error" },
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
