// The whole job by a maker's own hands: from a wish to the patterns, on every width of screen.
import { WIDTHS, becomes, figure, quiet, type } from "../shop.mjs";
import { enter, fill, hump, paste, table } from "../visits.mjs";

const TITLES = { wide: "Godwit", tablet: "Whimbrel", phone: "Redshank" };
const LATER_MS = 60_000;

export async function facts() {
  return Object.fromEntries(Object.keys(WIDTHS).map((width) => [`a commission goes from the wish to its patterns, ${width}`, (shop) => job(shop, width)]));
}

const heading = (page, name) => page.getByRole("heading", { name, exact: true, level: 1 }).waitFor();
/** Along the way through the work, which a narrow window folds under the page's name. */
const follow = async (page, name) => {
  const fold = page.locator("details.pages:not([open]) summary");
  if (await fold.isVisible()) await fold.click();
  await page.locator("#way").getByRole("link", { name, exact: true }).click();
};

async function job(shop, width) {
  const [across, down] = WIDTHS[width];
  const page = await shop.window({ viewport: { width: across, height: down } });
  page.setDefaultTimeout(20_000);
  for (const step of [begins, wishes, lays, cambers, plans, atTheBench, reads, plays, prints]) await step(page, shop, TITLES[width]);
  quiet(page);
}

/** From the book, with the kit chosen. */
async function begins(page, shop, title) {
  await page.goto(`${shop.base}/book`);
  await page.getByRole("radio", { name: /plain six-string/ }).check();
  await page.getByLabel("Title").fill(title);
  await page.getByRole("button", { name: "Put it in the book" }).click();
  await heading(page, "Wish");
  await page.getByRole("link", { name: /Book/ }).first().click();
  await heading(page, "Book");
  const row = page.locator("tr", { has: page.getByRole("link", { name: title, exact: true }) });
  await Promise.all([page.waitForNavigation(), row.getByLabel(`Kit for ${title}`).selectOption({ label: "North bench" })]);
  await page.getByRole("link", { name: title, exact: true }).click();
}

async function wishes(page) {
  await follow(page, "Wish");
  await heading(page, "Wish");
  await type(page, "wish-action_at_12-treble", "1.7 mm");
  await becomes(async () => (await figure(page, "Action wished")).startsWith("1.70"), true, "the action wished");
  await page.getByRole("link", { name: /^Next: Board/ }).click();
}

async function lays(page) {
  await heading(page, "Board");
  await type(page, "scale-length", "25 in");
  await becomes(async () => (await figure(page, "Board's end")) !== "", true, "the board's end");
  await page.getByRole("link", { name: /^Next: Camber/ }).click();
}

/** A camber that chokes is said to, and one that grants the wish too. */
async function cambers(page) {
  await heading(page, "Camber");
  const verdict = () => page.locator("#verdict .answer").first().innerText();
  await type(page, "camber-nut", "110 mm");
  await type(page, "camber-last_fret", "100 mm");
  await becomes(verdict, "not yet", "the answer on a tight arch");
  await type(page, "camber-nut", "10 in");
  await type(page, "camber-last_fret", "400 mm");
  await becomes(verdict, "yes", "the answer on a flatter one");
  await page.getByRole("link", { name: /^Next: Bench plan/ }).click();
}

async function plans(page) {
  await heading(page, "Bench plan");
  await page.locator(".stage dl.steps dt", { hasText: "Stop" }).first().waitFor();
  if (await page.locator(".stage").count() < 3) throw new Error("the plan has too few stages");
}

async function atTheBench(page) {
  await page.getByRole("link", { name: /at the bench/i }).first().click();
  await page.locator(".stage-steps").waitFor();
  await page.getByLabel(/minutes/i).first().fill("12");
  await page.getByRole("button", { name: /This stage is done/ }).click();
  await page.getByText(/Logged/).first().waitFor();
  await fill(page, { kind: "thickness", at: "fret 1", keys: ["6", ".", "3"] });
  await enter(page);
  await page.goto(page.url().replace(/bench\?.*/, "readings"));
}

/** Readings enough for a next step that says how much and where. */
async function reads(page) {
  await heading(page, "Readings");
  await paste(page, table(0.3, hump));
  await page.locator("#picture-step, #picture-departure").first().waitFor();
  const most = await figure(page, "Take off at most");
  if (!/^0\.\d+ mm$/.test(most) || !(Number.parseFloat(most) > 0.3)) throw new Error(`take off at most ${most}`);
  if (await figure(page, "This stage is") === "Done") throw new Error("a hump of 0.6 mm is let pass");
}

async function plays(page, shop) {
  await follow(page, "Play");
  await heading(page, "Play");
  if (await page.locator("#verdict li").count() !== 4) throw new Error("the wish has not four answers");
  await page.locator("#chances[data-later]").waitFor({ state: "detached", timeout: LATER_MS });
  if (!/chance of \d+ %/.test(await page.locator("#chances").innerText())) throw new Error("no chance is told");
  const sheet = await page.getByRole("link", { name: "Set-up sheet, A4" }).getAttribute("href");
  await isPdf(shop, sheet);
}

async function prints(page, shop) {
  await follow(page, "Patterns");
  await heading(page, "Patterns");
  await isPdf(shop, await page.getByRole("link", { name: /PDF for A4/ }).first().getAttribute("href"));
  await page.locator("#programs[data-later]").waitFor({ state: "detached", timeout: LATER_MS });
}

async function isPdf(shop, address) {
  const answer = await fetch(new URL(address, `${shop.base}/`));
  const bytes = new Uint8Array(await answer.arrayBuffer());
  if (answer.status !== 200 || String.fromCharCode(...bytes.slice(0, 5)) !== "%PDF-") throw new Error(`${address} is no paper: ${answer.status}`);
}
