/**
 * Decides, in a worker, with the server's own Python files. Any failure is answered as a failure: the
 * page then says that it cannot assess. There is no path from an error to an answer.
 */

const PYODIDE = "/static/vendor/pyodide/";
const HOME = "/home/pyodide/opsrisk-bundle";

/** @type {Promise<any> | null} */
let python = null;

/** @param {ArrayBuffer} bundle the zip of the pure folders */
async function start(bundle) {
  const { loadPyodide } = await import(`${PYODIDE}pyodide.mjs`);
  const pyodide = await loadPyodide({ indexURL: PYODIDE });
  pyodide.FS.mkdirTree(HOME);
  pyodide.unpackArchive(bundle, "zip", { extractDir: HOME });
  pyodide.runPython(`import sys; sys.path.insert(0, ${JSON.stringify(HOME)})`);
  return pyodide.pyimport("opsrisk.tablet.calls").call;
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
