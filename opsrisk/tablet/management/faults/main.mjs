/** Runs the schedules of the seeds that it is told, one after another, against the server on the other end of the pipe. */

import { createInterface } from "node:readline";

import { Schedule } from "./schedule.mjs";

const waiting = new Map();
let asked = 0;
const server = {
  ask: (question) => new Promise((resolve) => {
    asked += 1;
    waiting.set(asked, resolve);
    process.stdout.write(`${JSON.stringify({ id: asked, ...question })}\n`);
  }),
};
createInterface({ input: process.stdin }).on("line", (line) => {
  const { id, ...answer } = JSON.parse(line);
  waiting.get(id)(answer);
  waiting.delete(id);
});

const [first, count] = process.argv.slice(2).map(Number);
const county = await server.ask({ kind: "county" });
for (let seed = first; seed < first + count; seed += 1) {
  const found = await new Schedule(seed, server, county).run();
  await server.ask({ kind: "result", seed, ...found });
}
process.exit(0);
