// Every GLB of some files or folders must pass the Khronos glTF validator: no errors, no warnings.
//
// Usage: node glb_check.mjs FILE-OR-FOLDER...
// Exit status 1, with a list, if one does not; 2 if there is nothing to check.
// Infos and hints are listed too and fail as well: our writer has no reason for any.
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import validator from "gltf-validator";

const SEVERITY = ["error", "warning", "info", "hint"];

function files(path) {
  if (!statSync(path).isDirectory()) return [path];
  return readdirSync(path, { recursive: true })
    .filter((name) => name.endsWith(".glb"))
    .sort()
    .map((name) => join(path, name));
}

/** What the validator, or its refusal to read on, says of one file. */
async function faults(path) {
  try {
    // maxIssues 0: no limit.
    const report = await validator.validateBytes(new Uint8Array(readFileSync(path)), { maxIssues: 0 });
    return report.issues.messages.map(
      ({ severity, code, message, pointer }) => `${SEVERITY[severity]} ${code} at ${pointer ?? "file"}: ${message}`,
    );
  } catch (error) {
    return [`cannot be read: ${error.message ?? error}`];
  }
}

const paths = process.argv.slice(2).flatMap(files);
if (paths.length === 0) {
  console.error("glb_check: no GLB files given or found");
  process.exit(2);
}
let wrong = 0;
for (const path of paths) {
  for (const fault of await faults(path)) {
    wrong += 1;
    console.log(`${path}: ${fault}`);
  }
}
console.log(`glb_check: ${paths.length} files, ${wrong} faults`);
process.exit(wrong === 0 ? 0 : 1);
