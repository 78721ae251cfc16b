// Runs every test against one program with a fresh demo book: a line a test, and the count.
// With words after it only the tests whose names contain them are run.
import { openShop } from "./shop.mjs";

const ORDER = ["pages", "guide", "whole_job", "pointing", "values", "dragging", "faults", "mending", "narrow", "windows", "bench_plan", "readings", "readings_faults", "bench_mode", "readings_looks", "play", "fretwork", "playing_looks", "patterns", "patterns_machine", "patterns_looks", "kit", "book", "history", "finding", "carrying", "tablet", "tablet_away", "security"];
// Far beyond what any of them takes on a machine of its own: what takes longer hangs.
const TEST_LIMIT_MS = 150_000;

const wanted = process.argv.slice(2).join(" ");
const shop = await openShop();
let [passed, failed] = [0, 0];
process.on("uncaughtException", (error) => { console.error(error); shop.close().finally(() => process.exit(1)); });
process.on("SIGINT", () => shop.close().finally(() => process.exit(130)));
process.on("SIGTERM", () => shop.close().finally(() => process.exit(143)));

try {
  for (const room of ORDER) {
    const { facts, sideBySide = 1 } = await import(`./facts/${room}.mjs`);
    const waiting = Object.entries(await facts(shop)).map(([name, fact]) => [`${room}: ${name}`, fact]).filter(([name]) => name.includes(wanted));
    const inTurn = async () => { for (let next; (next = waiting.shift());) await check(...next); };
    await Promise.all(Array.from({ length: sideBySide }, inTurn));
  }
} finally {
  await shop.close();
}
console.log(`${passed} passed, ${failed} failed`);
process.exitCode = failed || !passed ? 1 : 0;

async function check(name, fact) {
  const began = Date.now();
  const visit = shop.visit();
  try {
    await within(fact(visit));
    passed += 1;
    console.log(`ok    ${name} (${Date.now() - began} ms)`);
  } catch (error) {
    failed += 1;
    console.log(`WRONG ${name} (${Date.now() - began} ms)\n      ${String(error.message).replaceAll("\n", "\n      ")}`);
  } finally {
    await visit.closeWindows().catch(() => {});
  }
}

function within(promise) {
  let late;
  const limit = new Promise((_, fail) => { late = setTimeout(() => fail(new Error(`took more than ${TEST_LIMIT_MS} ms`)), TEST_LIMIT_MS); });
  return Promise.race([promise, limit]).finally(() => clearTimeout(late));
}
