// Words and tags on the page Book.
import { becomes, quiet } from "../shop.mjs";

export async function facts() {
  return {
    "words are found in titles, texts and notes, with the place where they stand": words,
    "when nothing is found that is said": nothing,
    "tags are put on, lead to their entries, and are taken off": tags,
    "what cannot be a tag is refused in words": noTag,
    "finding and tagging work without script": withoutScript,
    "words looked for stay words, whatever marks are in them": marks,
    "a kit chosen in two windows is not overwritten unseen": twoKits,
  };
}

async function open(shop, options) {
  const page = await shop.window(options);
  await page.goto(`${shop.base}/book`);
  return page;
}

async function look(page, words) {
  await page.getByRole("searchbox", { name: "Find" }).fill(words);
  await page.getByRole("button", { name: "Find" }).click();
  await page.getByRole("heading", { name: / with “/ }).waitFor();
}

const row = (page, title) => page.locator("table.entries tr", { has: page.getByRole("link", { name: title, exact: true }) });

async function putOn(page, title, tag) {
  const place = row(page, title);
  await place.locator("summary").click();
  await place.getByLabel(`Tag for ${title}`).fill(tag);
  await place.getByRole("button", { name: "Put on" }).click();
  await row(page, title).getByRole("link", { name: tag, exact: true }).waitFor();
}

async function words(shop) {
  const page = await open(shop);
  await look(page, "BITTERN wenge");
  const found = page.locator("ul.found > li", { has: page.getByRole("link", { name: "Bittern", exact: true }) });
  if (await found.count() !== 1) throw new Error(await found.allInnerTexts());
  const text = await found.innerText();
  if (!/title: Bittern/.test(text) || !/text, line \d+: /.test(text)) throw new Error(text);
  await found.getByRole("link", { name: "Bittern", exact: true }).click();
  await page.getByRole("heading", { name: "Camber", exact: true }).waitFor();
  quiet(page);
}

async function nothing(shop) {
  const page = await open(shop);
  await look(page, "no such words in any book");
  await page.getByText("Nothing in the book has all of that").waitFor();
  await page.getByRole("link", { name: "Show the whole book" }).click();
  await page.getByRole("heading", { name: "Commissions" }).waitFor();
  quiet(page);
}

async function tags(shop) {
  await shop.post("/book/new", { start: "plain", title: "Turnstone" });
  await shop.post("/book/new", { start: "plain", title: "Ruff" });
  const page = await open(shop);
  await putOn(page, "Turnstone", "set neck");
  await putOn(page, "Ruff", "set neck");
  await page.getByRole("navigation", { name: "Tags" }).getByRole("link", { name: "set neck 2" }).click();
  await page.getByRole("heading", { name: "2 entries with the tag “set neck”" }).waitFor();
  await look(page, "ruff");
  await page.getByRole("heading", { name: "1 entry with “ruff” and the tag “set neck”" }).waitFor();
  await page.goto(`${shop.base}/book`);
  for (const title of ["Turnstone", "Ruff"]) {
    await row(page, title).locator("summary").click();
    await row(page, title).getByRole("button", { name: "Take off set neck" }).click();
    await becomes(() => row(page, title).getByRole("link", { name: "set neck" }).count(), 0, "the tag, taken off");
  }
  quiet(page);
}

async function noTag(shop) {
  const page = await open(shop);
  const place = row(page, "Heron");
  await place.locator("summary").click();
  await place.getByLabel("Tag for Heron").fill("one, two");
  await place.getByRole("button", { name: "Put on" }).click();
  const said = await page.locator(".notice.not-done").innerText();
  if (!said.includes("one, two")) throw new Error(said);
}

async function withoutScript(shop) {
  const page = await open(shop, { javaScriptEnabled: false });
  await look(page, "sandpiper");
  await page.locator("ul.found").getByRole("link", { name: "Sandpiper", exact: true }).first().waitFor();
  await page.goto(`${shop.base}/book`);
  await putOn(page, "Avocet", "long neck");
  await page.goto(`${shop.base}/book?tag=LONG%20neck`);
  await page.getByRole("heading", { name: "1 entry with the tag" }).waitFor();
  await shop.post("/book/untag", { entry: (await shop.entry("Avocet")).split("/").pop(), tag: "long neck" });
}

async function marks(shop) {
  const page = await open(shop);
  await look(page, '<script>alert("&")</script>');
  if (await page.getByRole("searchbox").inputValue() !== '<script>alert("&")</script>') throw new Error("the words are lost");
  quiet(page);
}

async function twoKits(shop) {
  await shop.post("/book/new", { start: "kit", title: "East bench" });
  const [east, north] = [(await shop.entry("East bench")).split("/").pop(), (await shop.entry("North bench")).split("/").pop()];
  const commission = await shop.copy("Heron");
  const set = async (was, kit) => (await shop.post(`${commission}/kit`, { was, kit })).status;
  if (await set(north, "") !== 303) throw new Error("a kit cannot be chosen");
  const answer = await shop.post(`${commission}/kit`, { was: north, kit: east });
  if (answer.status !== 200 || !/another window/.test(await answer.text())) throw new Error("it is overwritten unseen");
  if (await set("", east) !== 303) throw new Error("it cannot be chosen again");
  await shop.post("/book/put-away", { entry: east });
}
