// A shop for the tests: the program with a fresh demo book on a free port, and a browser.
import { spawn } from "node:child_process";
import { mkdtemp, rm } from "node:fs/promises";
import { createServer } from "node:net";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

// The browser may talk to nobody but the program.
const BROWSER_FLAGS = [
  "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
  "--disable-component-update", "--disable-sync",
];
const START_LIMIT_MS = 20_000;
const WAIT_LIMIT_MS = 8_000;

export const WIDTHS = { wide: [1440, 900], tablet: [820, 1180], phone: [390, 844] };

/** Opens the shop; `close` ends the program and the browser and takes the book's folder away. */
export async function openShop() {
  const program = process.env.CAMBERWRIGHT;
  if (!program) throw new Error("name the program's file in the variable CAMBERWRIGHT");
  const folder = await mkdtemp(join(tmpdir(), "camberwright-browser-"));
  const bench = ["--tablet-at", "127.0.0.1", "--tablet-port", String(await freePort())];
  const server = spawn(program, ["--demo", "--book", join(folder, "tests.camberbook"), "--port", "0", "--no-browser", ...bench]);
  const ended = new Promise((done) => server.once("close", done));
  let browser;
  const close = async () => {
    if (browser) await browser.close().catch(() => {});
    server.kill("SIGKILL");
    await ended;
    await rm(folder, { recursive: true, force: true });
  };
  try {
    const base = await addressOf(server);
    browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: BROWSER_FLAGS });
    return new Shop(base, browser, close, () => server.pid);
  } catch (error) {
    await close();
    throw error;
  }
}

/** A port that nothing listens at: tablets keep what waits by address and port, so that it stays the same. */
function freePort() {
  return new Promise((found) => {
    const probe = createServer().listen(0, "127.0.0.1", () => {
      const { port } = probe.address();
      probe.close(() => found(port));
    });
  });
}

/** The address that the program prints when its pages are ready. */
function addressOf(server) {
  return new Promise((found, failed) => {
    let said = "";
    const late = setTimeout(() => failed(new Error(`no address was printed in time; the program said: ${said}`)), START_LIMIT_MS);
    const listen = (part) => {
      said += part;
      const address = said.match(/http:\/\/127\.0\.0\.1:\d+/);
      if (address) { clearTimeout(late); found(address[0]); }
    };
    server.stdout.on("data", listen);
    server.stderr.on("data", listen);
    server.once("error", (error) => { clearTimeout(late); failed(error); });
    server.once("exit", (code) => { clearTimeout(late); failed(new Error(`the program ended at once (${code}): ${said}`)); });
  });
}

class Shop {
  constructor(base, browser, close, pid) {
    Object.assign(this, { base, browser, close, pid, contexts: [] });
  }

  /** A page of a new window, with the page's complaints and its requests to elsewhere written down. */
  async window(options = {}) {
    const context = await this.browser.newContext({ viewport: { width: 1440, height: 900 }, ...options });
    context.setDefaultTimeout(WAIT_LIMIT_MS);
    this.contexts.push(context);
    const page = await context.newPage();
    page.complaints = [];
    page.on("console", (message) => { if (["error", "warning"].includes(message.type())) page.complaints.push(`console: ${message.text()}`); });
    page.on("pageerror", (error) => page.complaints.push(`page: ${error.message}`));
    page.on("request", (request) => { if (!request.url().startsWith(`${this.base}/`)) page.complaints.push(`request to ${request.url()}`); });
    return page;
  }

  /** The same shop with windows of its own. */
  visit() {
    return Object.assign(Object.create(Object.getPrototypeOf(this)), this, { contexts: [] });
  }

  async closeWindows() {
    await Promise.all(this.contexts.splice(0).map((context) => context.close()));
  }

  /** The path of the entry with that title in the book, such as `/commission/3`. */
  async entry(title) {
    const book = await this.text("/book");
    const link = [...book.matchAll(/href="(\/(?:commission|kit)\/\d+)[^"]*">([^<]*)</g)].find((each) => each[2] === title);
    if (!link) throw new Error(`the book has no entry with the title ${title}`);
    return link[1];
  }

  /** A copy of an entry, so that a test changes nothing for the others. */
  async copy(title) {
    const source = await this.entry(title);
    const answer = await this.post("/book/copy", { entry: source.split("/").pop() });
    return answer.headers.get("location").split("/").slice(0, 3).join("/");
  }

  async text(path) {
    const answer = await fetch(this.base + path);
    if (answer.status !== 200) throw new Error(`${path} answered ${answer.status}`);
    return answer.text();
  }

  post(path, fields, headers = {}) {
    return fetch(this.base + path, { method: "POST", body: new URLSearchParams(fields), headers, redirect: "manual" });
  }

  /** How many moments an entry's history has. */
  async moments(entry) {
    const page = await this.text(`${entry}/history`);
    return page.match(/<th scope="row">/g).length;
  }

  /** The stored text of a commission. */
  stored(commission) {
    return this.text(`${commission}/commission.toml`);
  }
}

/** The value of a deciding figure as it is shown, without the difference. */
export async function figure(page, name) {
  const value = page.locator(".figure", { has: page.locator("dt", { hasText: new RegExp(`^${name}$`) }) }).locator("dd.value");
  return value.evaluate((place) => place.querySelector(".number")?.textContent ?? place.firstChild.textContent.trim());
}

/** The difference shown beside a deciding figure; empty when there is none. */
export async function difference(page, name) {
  const value = page.locator(".figure", { has: page.locator("dt", { hasText: new RegExp(`^${name}$`) }) });
  return (await value.locator(".change").allTextContents()).join("").trim();
}

/** What the strip says under a name. */
export async function strip(page, name) {
  const row = page.locator(".strip tr", { has: page.locator("th", { hasText: new RegExp(`^${name}$`) }) });
  return row.locator("td").evaluate((place) => place.querySelector(".number")?.textContent ?? place.firstChild.textContent.trim());
}

/** Types a value into a field and leaves the field. */
export async function type(page, field, value) {
  const input = page.locator(`#field-${field}`);
  await input.fill(value);
  await input.press("Tab");
}

/** Waits until `look` gives what is expected; says both when it does not. */
export async function becomes(look, expected, what) {
  const end = Date.now() + WAIT_LIMIT_MS;
  for (;;) {
    const seen = await look();
    const right = expected instanceof RegExp ? expected.test(seen) : typeof expected === "function" ? expected(seen) : seen === expected;
    if (right) return seen;
    if (Date.now() > end) throw new Error(`${what}: ${JSON.stringify(seen)} instead of ${expected}`);
    await new Promise((go) => setTimeout(go, 25));
  }
}

export function quiet(page) {
  if (page.complaints.length) throw new Error(page.complaints.join("; "));
}
