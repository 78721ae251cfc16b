// The book as text, out and in, and the copies that the program keeps.
import { mkdtemp, rm, writeFile } from "node:fs/promises";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { becomes, quiet } from "../shop.mjs";

export async function facts() {
  return {
    "a commission is taken out as text and taken in again, once": outAndIn,
    "a book as text is taken in without script": withoutScript,
    "what takes long to take in shows how far it is, and is stopped by its own name": stopped,
    "what is no book as text is refused in words, and nothing is stored": refused,
    "a file larger than may be is refused in words": tooLarge,
    "copies are shown with time and size, and one can be made at once": copies,
    "a copy becomes a book of its own, and the open one stays": restored,
    "only a copy of the list can be made a book": tricks,
  };
}

async function withFile(content, use) {
  const folder = await mkdtemp(join(tmpdir(), "camberwright-carried-"));
  try {
    const path = join(folder, "carried.zip");
    await writeFile(path, content);
    return await use(path);
  } finally {
    await rm(folder, { recursive: true, force: true });
  }
}

const bytes = async (shop, path) => Buffer.from(await (await fetch(shop.base + path)).arrayBuffer());

async function takeIn(shop, page, path) {
  await page.goto(`${shop.base}/book`);
  await page.getByLabel("Take in a book as text").setInputFiles(path);
  await page.getByRole("button", { name: "Take it in" }).click();
  await page.locator(".notice").first().waitFor();
  return page.locator(".notice").first().innerText();
}

async function outAndIn(shop) {
  await shop.post("/book/new", { start: "plain", title: "Greenshank" });
  const path = await shop.entry("Greenshank");
  const page = await shop.window();
  await page.goto(`${shop.base}${path}/history`);
  const address = await page.getByRole("link", { name: "All of it as plain texts" }).getAttribute("href");
  const zip = await bytes(shop, address);
  await withFile(zip, async (file) => {
    const there = await takeIn(shop, page, file);
    if (!/Nothing new/.test(there) || !/just alike/i.test(there) || !/Greenshank/.test(there)) throw new Error(there);
    // Changed since: what is taken in stands beside it.
    const base = (await shop.text(`${path}/wish`)).match(/name="based_on" value="(\d+)"/)[1];
    await shop.post(`${path}/set`, { path: "wish.relief", value: "0.33 mm", based_on: base, page: "wish" });
    const added = await takeIn(shop, page, file);
    if (!/1 entry was brought in: Greenshank/.test(added)) throw new Error(added);
  });
  if (await page.getByRole("link", { name: "Greenshank", exact: true }).count() !== 2) throw new Error("it does not stand beside it");
  if (!/0\.33 mm/.test(await shop.stored(path))) throw new Error("what was there is overwritten");
  quiet(page);
}

async function withoutScript(shop) {
  await shop.post("/book/new", { start: "plain", title: "Dotterel" });
  const zip = await bytes(shop, `${await shop.entry("Dotterel")}/carried.zip`);
  const page = await shop.window({ javaScriptEnabled: false });
  const said = await withFile(zip, (file) => takeIn(shop, page, file));
  if (!/Nothing new/.test(said)) throw new Error(said);
}

// A book that takes seconds would fill the list: its answer is held back instead.
async function stopped(shop) {
  const page = await shop.window();
  const work = (request) => new URL(request.url()).searchParams.get("work");
  let name, stop;
  const asked = new Promise((come) => { stop = come; });
  await page.route("**/book/bring?*", async (route) => { name = work(route.request()); await asked; await route.continue(); });
  await page.route("**/work?*", (route) => route.fulfill({ body: work(route.request()) === name ? "250" : "" }));
  await page.route("**/stop-work", (route) => { stop(route.request().postData()); return route.continue(); });
  await withFile("a letter", async (file) => {
    await page.goto(`${shop.base}/book`);
    await page.getByLabel("Take in a book as text").setInputFiles(file);
    await page.getByRole("button", { name: "Take it in" }).click();
    await becomes(() => page.locator("form.bring progress").evaluate((bar) => bar.position), 0.25, "the share shown");
    await page.locator("form.bring").getByRole("button", { name: "Stop" }).click();
    if (await asked !== `work=${name}`) throw new Error(`${await asked} was stopped, not ${name}`);
    // The answer stands on this page, and the keyboard with it.
    await becomes(() => page.evaluate(() => document.activeElement.className), (classes) => /notice/.test(classes), "the focus");
  });
  if (await page.locator("form.bring .work").count()) throw new Error("the bar stays");
}

async function refused(shop) {
  const page = await shop.window();
  const before = await shop.text("/book");
  const count = (text) => text.match(/<tr>/g).length;
  const letter = await withFile("a letter", (file) => takeIn(shop, page, file));
  if (!/no zip file/.test(letter)) throw new Error(letter);
  const strange = await withFile(await bytes(shop, `${await shop.entry("Heron")}/all.zip`), (file) => takeIn(shop, page, file));
  if (!/book\.toml/.test(strange)) throw new Error(strange);
  if (count(await shop.text("/book")) !== count(before)) throw new Error("something was stored");
  quiet(page);
}

async function tooLarge(shop) {
  const answer = await fetch(`${shop.base}/book/bring`, {
    method: "POST", headers: { "Content-Type": "multipart/form-data; boundary=x" }, body: Buffer.alloc(65 << 20),
  });
  if (answer.status !== 413 || !/larger than/.test(await answer.text())) throw new Error(`it answered ${answer.status}`);
}

async function copies(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}/book`);
  await becomes(async () => { await page.reload(); return page.locator("#copies tbody tr").count(); }, (count) => count > 0, "the first copy");
  if (!/\d{4}-\d\d-\d\d \d\d:\d\d/.test(await page.locator("#copies tbody tr").first().innerText())) throw new Error("no time is shown");
  if (!/\d+ kB|\d MB/.test(await page.locator("#copies tbody tr").first().innerText())) throw new Error("no size is shown");
  if (!/every hour/.test(await page.locator("#copies").innerText())) throw new Error("the rule is not stated");
  const before = await page.locator("#copies tbody tr").count();
  await page.getByRole("button", { name: "Make a copy now" }).click();
  await page.getByText("A copy of the book was made").waitFor();
  await becomes(() => page.locator("#copies tbody tr").count(), before + 1, "the copies shown");
  quiet(page);
}

async function restored(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}/book`);
  await becomes(async () => { await page.reload(); return page.locator("#copies tbody tr").count(); }, (count) => count > 0, "a copy");
  await page.getByRole("button", { name: /Make a new book of it/ }).first().click();
  const said = await page.locator(".notice").first().innerText();
  if (!/a book of its own now/.test(said) || !/restored-.*\.camberbook/.test(said)) throw new Error(said);
  await page.getByRole("link", { name: "Heron", exact: true }).first().waitFor();
  quiet(page);
}

async function tricks(shop) {
  for (const copy of ["../tests.camberbook", "/etc/passwd", "", "..", "tests.camberbook"]) {
    const answer = await shop.post("/book/restore", { copy });
    const text = await answer.text();
    if (!/no copy of that name/.test(text)) throw new Error(`${copy}: ${answer.status}`);
  }
}
