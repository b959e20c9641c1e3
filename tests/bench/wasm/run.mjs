// Runs a script in MicroPython for WebAssembly (32-bit words) with a folder of files on its file system.
// node run.mjs PORT.mjs FOLDER SCRIPT: the script's parts are divided by lines "# ----"; between two parts the heap is
// tidied up, which this port can do only while no Python runs.
import { readFileSync, readdirSync, statSync } from "node:fs";
import { join } from "node:path";
import { pathToFileURL } from "node:url";

const [port, folder, script] = process.argv.slice(2);
const { loadMicroPython } = await import(pathToFileURL(port).href);
const micropython = await loadMicroPython({ heapsize: 1024 * 1024 });

function copy(from, to) {
  for (const name of readdirSync(from)) {
    const source = join(from, name);
    const target = `${to}/${name}`;
    if (statSync(source).isDirectory()) {
      micropython.FS.mkdir(target);
      copy(source, target);
    } else {
      micropython.FS.writeFile(target, readFileSync(source));
    }
  }
}

micropython.FS.mkdir("/board");
copy(folder, "/board");
for (const part of readFileSync(script, "utf-8").split(/^# ----.*$/m)) {
  try {
    micropython.runPython("import gc; gc.collect()");
    micropython.runPython(part);
  } catch (error) {
    console.error(error.message);
    process.exit(1);
  }
}
