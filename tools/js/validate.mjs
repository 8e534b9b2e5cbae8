// node tools/js/validate.mjs SCHEMA DATA: checks a JSON file against a JSON Schema (2020-12) with ajv.
// Exit 0 valid, 1 not valid (the faults on standard output).
import {readFileSync} from 'node:fs';
import Ajv2020 from 'ajv/dist/2020.js';

const [schema, data] = process.argv.slice(2).map((name) => JSON.parse(readFileSync(name, 'utf8')));
const validate = new Ajv2020.default({allErrors: true, strict: true, allowUnionTypes: true}).compile(schema);
if (!validate(data)) {
  for (const fault of validate.errors) console.log(`${fault.instancePath}: ${fault.message}`);
  process.exit(1);
}
