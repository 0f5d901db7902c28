/* Ask the shipped search: node search_ask.mjs WORKER INDEX < questions (JSON list). Writes, for each
   question, the pages found, and of each page its places, best first.
   The worker is the one that the pages start, in a context that has what a worker has. */
import { readFileSync } from "node:fs";
import vm from "node:vm";

const [worker, index] = process.argv.slice(2);
const questions = JSON.parse(readFileSync(0, "utf8"));
const told = [];
let hear;
const self = {
  addEventListener: (kind, listener) => { if (kind === "message") hear = listener; },
  postMessage: (message) => told.push(message),
  console, URL, setTimeout,
};
self.self = self;
vm.runInContext(readFileSync(worker, "utf8"), vm.createContext(self));

async function ask(message) {
  await hear({ data: message });
  for (let turn = 0; turn < 1000 && !told.length; turn += 1) await new Promise((done) => { setTimeout(done, 2); });
  return told.shift();
}

const SETUP = 0, QUERY = 2; // the kinds of message between the theme's page and its worker; 1 and 3 answer them
const { config, docs } = JSON.parse(readFileSync(index, "utf8"));
await ask({ type: SETUP, data: { config, docs, options: { suggest: false } } });
const answers = [];
for (const question of questions) {
  const { data } = await ask({ type: QUERY, data: question });
  answers.push(data.items.map((page) => page.sort((one, other) => other.score - one.score).map((each) => each.location)));
}
process.stdout.write(JSON.stringify(answers));
