/**
 * Decides, in a worker, with the server's own Python files. Any failure is answered as a failure: the
 * page then says that it cannot assess. There is no path from an error to an answer.
 */

const PYODIDE = "/static/vendor/pyodide/";
const HOME = "/home/pyodide/opsrisk-bundle";

/** @type {Promise<any> | null} */
let python = null;

/**
 * The files as an earlier start on this browser compiled them: reading them again takes a quarter of the time of
 * compiling. The name holds the digest of the bundle, so that no other rules are ever run than those of the bundle.
 */
const COMPILED = "compiled";
const COMPILE_AFTER_MS = 3000; // not while somebody waits for the first answer

/** @param {ArrayBuffer} bundle @param {string} version of Pyodide */
async function addressOf(bundle, version) {
  const sum = new Uint8Array(await crypto.subtle.digest("SHA-256", bundle));
  return `/tablet/compiled/${[...sum].map((one) => one.toString(16).padStart(2, "0")).join("")}-${version}.zip`;
}

/** @param {any} pyodide @param {string} address */
async function keep(pyodide, address) {
  const home = JSON.stringify(HOME);
  pyodide.runPython(`
import compileall, py_compile, shutil
compileall.compile_dir(${home}, quiet=1, force=True, invalidation_mode=py_compile.PycInvalidationMode.UNCHECKED_HASH)
shutil.make_archive("/tmp/compiled", "zip", ${home})`);
  await caches.delete(COMPILED); // of an earlier bundle
  await (await caches.open(COMPILED)).put(address, new Response(pyodide.FS.readFile("/tmp/compiled.zip")));
}

/** @param {any} pyodide @param {ArrayBuffer} files */
function importFrom(pyodide, files) {
  pyodide.FS.mkdirTree(HOME);
  pyodide.unpackArchive(files, "zip", { extractDir: HOME });
  pyodide.runPython(`import sys; sys.path.insert(0, ${JSON.stringify(HOME)})`);
  return pyodide.pyimport("opsrisk.tablet.calls").call;
}

/** @param {ArrayBuffer} bundle the zip of the pure folders */
async function start(bundle) {
  const { loadPyodide, version } = await import(`${PYODIDE}pyodide.mjs`);
  const load = () => loadPyodide({ indexURL: PYODIDE });
  const [pyodide, address] = await Promise.all([load(), addressOf(bundle, version)]);
  const compiled = await (await caches.match(address, { cacheName: COMPILED }))?.arrayBuffer();
  if (!compiled) {
    setTimeout(() => keep(pyodide, address).catch(console.warn), COMPILE_AFTER_MS); // a full disk: compiled again next time
    return importFrom(pyodide, bundle);
  }
  try {
    return importFrom(pyodide, compiled);
  } catch (error) {
    console.warn(error);
    await caches.delete(COMPILED); // damaged: the bundle itself has everything
    return importFrom(await load(), bundle);
  }
}

/** @param {{kind: string, bundle?: ArrayBuffer, given?: any}} asked */
async function answer({ kind, bundle, given }) {
  if (kind === "start") {
    python = start(/** @type {ArrayBuffer} */ (bundle));
    await python;
    return { ready: true };
  }
  if (!python) throw new Error("asked before the start");
  const call = await python;
  return JSON.parse(call(kind, JSON.stringify(given)));
}

self.addEventListener("message", async (event) => {
  const { id, ...asked } = event.data;
  try {
    self.postMessage({ id, answer: await answer(asked) });
  } catch (error) {
    // The last line of a Python trace names the fault; the rest is for a developer's console.
    const lines = String(/** @type {Error} */ (error).message ?? error).trim().split("\n");
    console.error(error);
    self.postMessage({ id, failed: lines[lines.length - 1] || "no reason given" });
  }
});
