/** @type {import("stylelint").Config} */
export default {
  extends: "stylelint-config-standard",
  rules: {
    "color-named": "never",
    "color-no-hex": true,
    "function-disallowed-list": ["rgb", "rgba", "hsl", "hsla", "hwb", "lab", "lch", "oklab", "oklch", "color"],
    "declaration-no-important": true,
    // Cascade layers give the order; these two would ask for another one.
    "no-descending-specificity": null,
    "import-notation": "string",
    "custom-property-empty-line-before": null,
    "declaration-empty-line-before": null,
    "comment-empty-line-before": null,
    "rule-empty-line-before": null,
    "at-rule-empty-line-before": null,
    "declaration-block-single-line-max-declarations": null,
  },
  overrides: [
    {
      // The one home of raw colours.
      files: ["../../static/css/tokens.css"],
      rules: { "color-no-hex": null, "color-named": null, "function-disallowed-list": null },
    },
  ],
};
