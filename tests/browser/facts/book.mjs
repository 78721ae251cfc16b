// The book: new entries, copies, putting away, units.
import { becomes, quiet, strip } from "../shop.mjs";

export async function facts() {
  return {
    "a plain commission is begun, sound from the start": plain,
    "every plain start is sound and has its strings": starts,
    "a commission's line in the list leads to what is next": standing,
    "a kit with nothing in it is begun": emptyKit,
    "a pasted text becomes a commission": pasted,
    "a pasted text with faults is kept and shown with them": faulty,
    "a paste of nothing is refused in words": nothing,
    "an entry is copied, put away and taken out": away,
    "inches are shown in words everywhere once chosen": inches,
    "the history makes an earlier moment the present": history,
    "a title with marks of the page's own language stays a title": marks,
  };
}

async function open(shop) {
  const page = await shop.window();
  await page.goto(`${shop.base}/book`);
  return page;
}

async function begin(page, start, title, text) {
  await page.getByRole("radio", { name: start }).check();
  await page.getByLabel("Title").fill(title);
  if (text !== undefined) await page.getByLabel("File text, when pasted").fill(text);
  await page.getByRole("button", { name: "Put it in the book" }).click();
}

async function plain(shop) {
  const page = await open(shop);
  await begin(page, /plain six-string/, "Curlew");
  await page.getByRole("heading", { name: "Wish" }).waitFor();
  if (await page.locator("#field-title").inputValue() !== "Curlew") throw new Error("the title is lost");
  if (await page.locator(".faults").count()) throw new Error(await page.locator(".faults").innerText());
  await page.getByRole("link", { name: "Camber", exact: true }).click();
  await page.locator("#picture-radius svg").waitFor();
  quiet(page);
}

async function starts(shop) {
  const strings = { "plain seven-string": 7, "plain steel-string acoustic": 6, "plain four-string bass": 4 };
  for (const [start, count] of Object.entries(strings)) {
    const page = await open(shop);
    await begin(page, new RegExp(start), `Dunlin, ${start}`);
    await page.getByRole("heading", { name: "Wish" }).waitFor();
    if (await page.locator(".faults").count()) throw new Error(await page.locator(".faults").innerText());
    const lanes = await page.locator("#board").getAttribute("data-lanes");
    if (lanes !== String(count)) throw new Error(`${start}: ${lanes} strings`);
    quiet(page);
    await page.context().close();
  }
}

async function standing(shop) {
  await shop.post("/book/new", { start: "plain", title: "Sanderling" });
  const path = await shop.entry("Sanderling");
  const page = await open(shop);
  const line = page.locator("table.entries tr", { has: page.getByRole("link", { name: "Sanderling", exact: true }) });
  const next = (words) => line.getByRole("link", { name: words });
  const kit = (await shop.entry("North bench")).split("/").pop();
  await shop.post(`${path}/kit`, { was: kit, kit: "" });
  await page.reload();
  await next("no kit chosen, so no plan").waitFor();
  await shop.post(`${path}/kit`, { was: "", kit });
  await page.reload();
  await next(/^stage 1 of \d+: Block/).click();
  await page.getByRole("heading", { name: "Bench plan" }).waitFor();
  if (!/#stage-/.test(page.url())) throw new Error(page.url());
  const based_on = (await shop.text(`${path}/wish`)).match(/name="based_on" value="(\d+)"/)[1];
  await shop.post(`${path}/set`, { path: "camber.nut", value: "crooked", based_on, page: "wish" });
  await page.goto(`${shop.base}/book`);
  await page.getByRole("link", { name: "one fault to mend" }).first().waitFor();
  quiet(page);
}

async function emptyKit(shop) {
  const page = await open(shop);
  await begin(page, /kit with nothing/, "South bench");
  await page.getByRole("heading", { name: "Kit" }).waitFor();
  if (await page.locator("#field-title").inputValue() !== "South bench") throw new Error("the title is lost");
  await page.goto(`${shop.base}/book`);
  const row = page.locator("ul.kits li", { hasText: "South bench" });
  await row.getByRole("button", { name: "Put away" }).click();
  await page.locator("ul.kits li", { hasText: "South bench" }).getByText("(put away)").waitFor();
}

async function pasted(shop) {
  const text = (await shop.stored(await shop.entry("Sandpiper"))).replace('title = "Sandpiper"', 'title = "Dunlin"');
  const page = await open(shop);
  await begin(page, /pasted here/, "", text);
  await page.getByRole("heading", { name: "Wish" }).waitFor();
  if (await page.locator("#field-title").inputValue() !== "Dunlin") throw new Error("the text's own title is lost");
  if (await shop.stored(await shop.entry("Dunlin")) !== text) throw new Error("the text is not as it was pasted");
}

async function faulty(shop) {
  const text = 'camberwright = 1\ntitle = "Godwit"\n[scale]\nlenght = "650 mm"\n';
  const page = await open(shop);
  await begin(page, /pasted here/, "", text);
  const words = await page.locator(".faults").innerText();
  if (!/lenght/.test(words) || !/length/.test(words)) throw new Error(words);
  await page.getByRole("link", { name: "Mend it as text" }).click();
  await becomes(() => page.locator("#whole-text").inputValue(), text, "the text");
  const copy = await shop.entry("Godwit");
  await page.locator("#whole-text").fill((await shop.stored(await shop.entry("Heron"))).replace('"Heron"', '"Godwit"'));
  await page.getByRole("button", { name: "Store this text" }).click();
  await becomes(() => page.locator(".faults").count(), 0, "faults once mended");
  await page.goto(`${shop.base}${copy}/camber`);
  await page.locator("#picture-radius svg").waitFor();
  quiet(page);
}

async function nothing(shop) {
  const page = await open(shop);
  await begin(page, /pasted here/, "", "  ");
  await page.locator(".notice.not-done", { hasText: "nothing was pasted" }).waitFor();
}

async function away(shop) {
  const page = await open(shop);
  const row = (title) => page.locator("tr", { has: page.getByRole("link", { name: title, exact: true }) });
  await row("Avocet").getByRole("button", { name: "Copy" }).click();
  await page.getByRole("heading", { name: "Wish" }).waitFor();
  await page.goto(`${shop.base}/book`);
  await row("Avocet, copy").getByRole("button", { name: "Put away" }).click();
  await becomes(() => row("Avocet, copy").count(), 0, "rows of the copy");
  await page.getByText(/^Put away \(/).click();
  await page.locator("li", { hasText: "Avocet, copy" }).getByRole("button", { name: "Take out" }).click();
  await becomes(() => row("Avocet, copy").count(), 1, "rows of the copy");
  quiet(page);
}

async function inches(shop) {
  const page = await shop.window();
  const heron = await shop.entry("Heron");
  await page.goto(`${shop.base}${heron}/camber?fret=12&lane=0`);
  try {
    await page.getByLabel("Lengths in").selectOption("inch");
    // 317.5 mm are 12.5 in exactly.
    await becomes(() => strip(page, "from the nut").catch(() => ""), /^12\.5\d* in$/, "the strip");
    for (const name of ["wish", "board", "camber", "bench-plan"]) {
      await page.goto(`${shop.base}${heron}/${name}?fret=12&lane=0`);
      const words = await page.locator(".strip, dl.figures, .stages .stage-line, dl.steps, #frets tbody, #gauges tbody").allInnerTexts();
      const millimetres = words.join("\n").match(/[^\n]*\d mm(?![³\w])[^\n]*/);
      if (millimetres) throw new Error(`${name}: ${millimetres[0]}`);
    }
    await page.goto(`${shop.base}${heron}/board?fret=12&lane=0`);
    await page.getByLabel("Lengths in").selectOption("fraction");
    await becomes(() => strip(page, "from the nut").catch(() => ""), /^12 1\/2 in$/, "the strip in fractions");
    quiet(page);
  } finally {
    await shop.post("/units", { unit: "mm" });
  }
}

async function history(shop) {
  const commission = await shop.copy("Heron");
  const { revision } = (await shop.text(`${commission}/camber`)).match(/name="based_on" value="(?<revision>\d+)"/).groups;
  await shop.post(`${commission}/set`, { path: "camber.nut", value: "250 mm", based_on: revision, page: "camber" });
  const page = await shop.window();
  await page.goto(`${shop.base}${commission}/history`);
  await page.locator("table.history").getByText("camber, nut: 240 mm → 250 mm").waitFor();
  await page.getByRole("button", { name: "Make this the present" }).click();
  await becomes(() => shop.stored(commission), /nut = "240 mm"/, "the stored text");
  quiet(page);
}

async function marks(shop) {
  const title = '<b>"Knot"</b> & co';
  const page = await open(shop);
  await begin(page, /plain six-string/, title);
  await page.getByRole("heading", { name: "Wish" }).waitFor();
  if (await page.locator("#field-title").inputValue() !== title) throw new Error("the title changed");
  if (await page.locator("header .title").innerText() !== title) throw new Error("the header shows it wrongly");
  await page.goto(`${shop.base}/book`);
  await page.getByRole("link", { name: title }).waitFor();
  quiet(page);
}
