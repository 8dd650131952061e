// Prints everything that Khronos' glTF validator has to say of the files that are named.
const validator = require("gltf-validator");
const fs = require("fs");

(async () => {
  for (const file of process.argv.slice(1)) {
    const report = await validator.validateBytes(new Uint8Array(fs.readFileSync(file)), { maxIssues: 100 });
    for (const issue of report.issues.messages) console.log(file, issue.code, issue.message, issue.pointer);
    if (report.mimeType !== "model/gltf-binary") console.log(file, report.mimeType);
  }
})();
