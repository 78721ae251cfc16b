// The page Play: pointing, changing, surfaces, chances, and the set-up sheet.
import { becomes, difference, figure, quiet, strip, type } from "../shop.mjs";
import { begun, hump, table, takeIn } from "../visits.mjs";

export async function facts() {
  return {
    "a cell of the buzz map points at its fret and string, and all follows": cells,
    "arrow keys on the plan move the side picture": keys,
    "the keyboard reaches every scroller, fold and link": reaches,
    "a link keeps the focus when its part is put anew": focus,
    "what is unfolded stays so while pointing and after a change": folds,
    "the chances come by themselves": come,
    "pointing while the chances are worked out begins them once": once,
    "without script the chances come by their link": comeByLink,
    "a harder pluck leaves less air, with the difference, and undo brings it back": harder,
    "a higher action and more relief are followed": followed,
    "a surer hand changes the chances, and undo brings them back": surer,
    "an error that is none is named, and the figures stay": noError,
    "a surface is chosen by its link, and stays when something is changed": surfaces,
    "the steps of the strip and the links keep the surface and the place": keepsSurface,
    "negative cents have a true minus, as lengths have": minus,
    "set-up sheets come on both papers": sheets,
    "without script fields are set and places reached": withoutScript,
    "a commission that is not there has no chances and no sheet": nothingThere,
  };
}

const side = (page) => page.locator("#picture-side svg > title").textContent();
const place = (page) => page.locator(".strip .pointed strong").allTextContents().then((all) => all.join(" ").replace(/\s+/g, " "));
const chance = (page) => page.locator("#chances[data-come] strong").first().textContent();

async function open(shop, { title = "Heron", address = "play", copied = true, ...options } = {}) {
  const commission = copied ? await shop.copy(title) : await shop.entry(title);
  const page = await shop.window(options);
  await page.goto(`${shop.base}${commission}/${address}`);
  return { commission, page };
}

async function cells(shop) {
  const { page } = await open(shop, { copied: false });
  for (const [map, string, fret] of [["buzz", 4, 9], ["buzz", 1, 1], ["bends", 6, 15], ["buzz", 2, 0]]) {
    const cell = page.locator(`#picture-${map} [data-key="fret-${fret}"] > g`).nth(string - 1);
    await cell.scrollIntoViewIfNeeded();
    await cell.click();
    const words = fret ? `stopped at fret ${fret}` : "open";
    await becomes(() => side(page), `String ${string} ${words}, from the side`, "the side picture");
    await becomes(() => place(page), new RegExp(`^${fret ? `fret ${fret}` : "nut"} string ${string} `), "the strip");
    await becomes(() => page.locator(`#buzz tr.here[data-fret="${fret}"]`).count(), 1, "the buzz table's row");
    await becomes(() => page.locator(`#tuning tr.here[data-fret="${fret}"]`).count(), 2, "the tuning tables' rows");
  }
  quiet(page);
}

async function keys(shop) {
  const { page } = await open(shop, { copied: false, address: "play?fret=5&lane=0" });
  await page.locator("#plan").focus();
  for (const key of ["ArrowDown", "ArrowDown", "ArrowRight"]) await page.keyboard.press(key);
  await becomes(() => side(page), "String 3 stopped at fret 6, from the side", "the side picture");
  quiet(page);
}

async function reaches(shop) {
  for (const [title, address] of [["Sandpiper", "play"], ["Sandpiper", "fretwork"], ["Heron", "wish"]]) {
    const { page } = await open(shop, { title, address, copied: false });
    if (address === "play") await page.locator("#chances[data-come]").waitFor();
    const wanted = await page.locator("main :is(.scroller, summary, a[href], input:not([type=hidden]), select)").evaluateAll((all) => all
      .filter((each) => each.checkVisibility() && !(each.type === "radio" && !each.checked))
      .map((each, index) => { each.dataset.wanted = index; return index; }));
    const met = new Set();
    await page.locator("#plan").focus();
    for (let step = 0; step < wanted.length + 80 && met.size < wanted.length; step += 1) {
      await page.keyboard.press("Tab");
      const now = await page.evaluate(() => document.activeElement.dataset.wanted);
      if (now) met.add(now);
    }
    const missed = wanted.filter((each) => !met.has(String(each)));
    const words = await page.evaluate((list) => list.map((each) => document.querySelector(`[data-wanted="${each}"]`).outerHTML.slice(0, 70)), missed);
    if (missed.length) throw new Error(`${title}, ${address}: not reached: ${words.slice(0, 3).join(" | ")}`);
    quiet(page);
    await page.close();
  }
}

async function focus(shop) {
  const { page } = await open(shop, { copied: false, address: "play?fret=3&lane=0" });
  await page.getByRole("link", { name: "fret after" }).focus();
  for (const fret of [4, 5, 6]) {
    await page.keyboard.press("Enter");
    await becomes(() => place(page), new RegExp(`^fret ${fret} `), "the strip");
  }
  await page.locator("#bends summary").focus();
  await page.keyboard.press("Enter");
  await page.locator("#bends tr[data-fret='9']").click();
  await becomes(() => place(page), /^fret 9 /, "the strip");
}

async function folds(shop) {
  const { page } = await open(shop);
  await page.locator("#chances[data-come]").waitFor();
  for (const fold of await page.locator(".content details > summary").all()) await fold.click();
  const opened = () => page.locator(".content details[open]").count();
  const all = await page.locator(".content details").count();
  await page.locator('#plan [data-key="fret-12"]').hover();
  await becomes(() => side(page), /fret 12/, "the side picture");
  if (await opened() !== all) throw new Error(`${await opened()} of ${all} are open after pointing`);
  const before = await chance(page);
  await type(page, "errors-pluck", "5 %");
  await becomes(async () => await page.locator("#chances[data-come]").count() && await chance(page), (now) => now && now !== before, "the chance");
  if (await opened() !== all) throw new Error(`${await opened()} of ${all} are open after a change`);
  quiet(page);
}

async function come(shop) {
  for (const title of ["Heron", "Sandpiper", "Bittern", "Avocet"]) {
    const { page } = await open(shop, { title, copied: false });
    await page.locator("#chances[data-come]").waitFor();
    if (!/^\d+ %$/.test(await chance(page))) throw new Error(`${title}: ${await chance(page)}`);
    if (!/± \d/.test(await page.locator("#chances p").first().textContent())) throw new Error(`${title}: how sure the chance is is not told`);
    await page.locator("#picture-shares svg").waitFor();
    quiet(page);
    await page.close();
  }
}

async function once(shop) {
  const commission = await shop.entry("Heron");
  const page = await shop.window();
  let begun = 0;
  await page.route("**/chances?*", async (route) => { begun += 1; await new Promise((go) => setTimeout(go, 700)); await route.continue(); });
  await page.goto(`${shop.base}${commission}/play?fret=1&lane=0`);
  for (const fret of [3, 6, 9, 12]) {
    await page.locator(`#plan [data-key="fret-${fret}"]`).hover();
    await becomes(() => side(page), new RegExp(`fret ${fret},`), "the side picture");
  }
  await page.locator("#chances[data-come]").waitFor();
  if (begun !== 1) throw new Error(`they were begun ${begun} times`);
}

async function comeByLink(shop) {
  const { page } = await open(shop, { copied: false, javaScriptEnabled: false });
  await page.locator("#chances a").click();
  await page.getByRole("heading", { name: "Chances" }).waitFor();
  if (!/^\d+ %$/.test(await page.locator("#chances strong").first().textContent())) throw new Error("no chance is told");
}

async function harder(shop) {
  const { commission, page } = await open(shop, { address: "wish" });
  const air = await figure(page, "Least air as planned");
  await type(page, "wish-pluck_force", "0.8 N");
  await becomes(() => difference(page, "Least air as planned"), /^−0\.\d+ mm$/, "the difference on the page Wish");
  if (parseFloat((await figure(page, "Least air as planned")).replace("−", "-")) >= parseFloat(air)) throw new Error("a harder pluck leaves no less air");
  await page.goto(`${shop.base}${commission}/play`);
  await becomes(() => difference(page, "Least air"), /^−0\.\d+ mm$/, "the difference on the page Play");
  if (!/under 0\.80 N/.test(await page.locator("#play-figures").innerText())) throw new Error("the force is not the new one");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "Least air"), air, "after undo");
  quiet(page);
}

async function followed(shop) {
  const { commission, page } = await open(shop, { address: "wish" });
  const air = await figure(page, "Least air as planned");
  await type(page, "wish-action_at_12-treble", "2.5 mm");
  await becomes(() => figure(page, "Least air as planned"), (now) => now !== air, "the air under a higher string");
  const higher = await figure(page, "Least air as planned");
  await type(page, "wish-relief", "0.5 mm");
  await becomes(() => figure(page, "Least air as planned"), (now) => now !== higher, "the air over more relief");
  if (!await difference(page, "Least air as planned")) throw new Error("no difference is shown");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "Least air as planned"), higher, "after undo");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "Least air as planned"), air, "after undoing both");
  if (await shop.moments(commission) < 3) throw new Error("the history is not kept");
}

async function surer(shop) {
  const { page } = await open(shop);
  await page.locator("#chances[data-come]").waitFor();
  const before = await chance(page);
  const wholly = await page.locator("#chances").innerText();
  await type(page, "errors-pluck", "2 %");
  await becomes(async () => await page.locator("#chances[data-come]").count() && await chance(page), (now) => now && now !== before, "the chance with a surer player");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(async () => await page.locator("#chances[data-come]").count() && await page.locator("#chances").innerText(), wholly, "after undo");
  quiet(page);
}

async function noError(shop) {
  const { page } = await open(shop);
  const air = await figure(page, "Least air");
  await type(page, "errors-fret_tops", "wide");
  await page.locator(".faults").waitFor();
  if (!/errors, fret tops/.test(await page.locator(".faults").innerText())) throw new Error(await page.locator(".faults").innerText());
  if (await page.locator("#field-errors-fret_tops").inputValue() !== "wide") throw new Error("what was typed is gone");
  if (await figure(page, "Least air") !== air) throw new Error("the last sound figure is gone");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => page.locator(".faults").count(), 0, "faults after undo");
  quiet(page);
}

const here = (page) => page.locator("nav.visits a[aria-current]").innerText();

async function surfaces(shop) {
  const { page } = await open(shop, { title: "Sandpiper" });
  if (await here(page) !== "the fret tops as read") throw new Error(`it is played on ${await here(page)}`);
  const read = await figure(page, "Least air");
  await page.getByRole("link", { name: "the planned surface" }).click();
  await becomes(() => here(page), "the planned surface", "the surface");
  const planned = await figure(page, "Least air");
  if (planned === read) throw new Error("a fret that stands proud makes no difference");
  await type(page, "errors-pluck", "8 %");
  await becomes(() => page.locator("#field-errors-pluck").inputValue(), "8 %", "the field");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => page.locator("#field-errors-pluck").inputValue(), "", "the field after undo");
  if (await here(page) !== "the planned surface") throw new Error(`after a change it is played on ${await here(page)}`);
  await page.reload();
  if (await here(page) !== "the planned surface" || await figure(page, "Least air") !== planned) throw new Error("the address does not lead there");
  // The wood of a visit is one more surface.
  const started = await begun(shop, { name: "after the beam" });
  await takeIn(shop, started.commission, started.visit, table(0, hump));
  await page.goto(`${shop.base}${started.commission}/play`);
  const smooth = await figure(page, "Least air");
  await page.getByRole("link", { name: "the wood of visit after the beam" }).click();
  await becomes(() => here(page), "the wood of visit after the beam", "the surface");
  if (await figure(page, "Least air") === smooth) throw new Error("a hump of 0.6 mm makes no difference");
  await page.locator("#chances[data-come]").waitFor();
  if (!/the wood of visit after the beam/.test(await page.locator("#chances").innerText())) throw new Error("the chances are for another surface");
  quiet(page);
}

async function keepsSurface(shop) {
  const { page } = await open(shop, { title: "Sandpiper", copied: false, address: "play?on=planned&fret=4&lane=0" });
  await page.getByRole("link", { name: "fret after" }).click();
  await becomes(() => place(page), /^fret 5 /, "the strip");
  await page.locator('#plan [data-key="fret-9"]').click();
  await becomes(() => place(page), /^fret 9 /, "the strip");
  const string = (await place(page)).match(/string (\d)/)[1];
  await page.reload();
  if (await here(page) !== "the planned surface") throw new Error(`it is played on ${await here(page)}`);
  await page.goBack().catch(() => {});
  await page.goto(`${shop.base}${await shop.entry("Sandpiper")}/play?on=planned&fret=4&lane=0`);
  await page.locator("#plan").focus();
  await page.keyboard.press("ArrowRight");
  await becomes(() => place(page), /^fret 5 /, "the strip");
  await page.getByRole("link", { name: "the fret tops as read" }).click();
  await becomes(() => here(page), "the fret tops as read", "the surface");
  if (!/^fret 5 /.test(await place(page))) throw new Error(`the place pointed at is lost: ${await place(page)}, after string ${string}`);
}

async function sheets(shop) {
  for (const title of ["Heron", "Sandpiper", "Bittern", "Avocet"]) {
    const { page } = await open(shop, { title, copied: false });
    const links = await page.locator("a.paper").evaluateAll((all) => all.map((link) => link.href));
    if (links.length !== 2) throw new Error(`${title}: ${links.length} papers`);
    const sizes = new Set();
    for (const link of links) {
      const answer = await fetch(link);
      if (!/filename="[a-z-]+-set-up-sheet\.pdf"/.test(answer.headers.get("content-disposition"))) throw new Error(answer.headers.get("content-disposition"));
      const bytes = Buffer.from(await answer.arrayBuffer());
      if (answer.status !== 200 || answer.headers.get("content-type") !== "application/pdf") throw new Error(`${title}: ${answer.status} ${answer.headers.get("content-type")}`);
      if (bytes.subarray(0, 4).toString() !== "%PDF" || bytes.length < 10_000) throw new Error(`${title}: ${bytes.length} bytes`);
      // ISO 216 A4 is 210 mm by 297 mm, ANSI Y14.1 A is 8.5 in by 11 in; in points of 1/72 in.
      sizes.add(bytes.toString("latin1").match(/\/MediaBox\s*\[\s*0(?:\.0)? 0(?:\.0)? ([\d.]+)/)?.[1].slice(0, 3));
    }
    if (!sizes.has("595") || !sizes.has("612")) throw new Error(`${title}: papers ${[...sizes].join(" and ")} points wide`);
    await page.close();
  }
}

async function withoutScript(shop) {
  const { page } = await open(shop, { javaScriptEnabled: false, address: "play?fret=5&lane=0" });
  await page.getByRole("link", { name: "lower string" }).click();
  if (await side(page) !== "String 2 stopped at fret 5, from the side") throw new Error(await side(page));
  const field = page.locator(".field", { has: page.locator("#field-errors-pluck") });
  await field.locator("input[type=text]").fill("5 %");
  await field.getByRole("button", { name: "Set" }).click();
  if (await page.locator("#field-errors-pluck").inputValue() !== "5 %") throw new Error("it is not set");
  if (await strip(page, "string to edge") === "") throw new Error("the strip is empty");
}

async function nothingThere(shop) {
  const kit = await shop.entry("North bench");
  for (const path of ["/commission/987654/chances", "/commission/987654/set-up-sheet.pdf", `/commission/${kit.split("/").pop()}/chances`]) {
    const answer = await fetch(shop.base + path);
    if (answer.status !== 404) throw new Error(`${path} answers ${answer.status}`);
  }
  // A surface that is not there is the planned one, not an error.
  const answer = await fetch(`${shop.base}${await shop.entry("Heron")}/play?on=visit-99999`);
  if (answer.status !== 200) throw new Error(`a visit that is not there answers ${answer.status}`);
}

async function minus(shop) {
  const { page } = await open(shop, { copied: false });
  const words = await page.locator("#tuning").innerText();
  if (!/−\d/.test(words)) throw new Error("no note is flat, so that nothing is tested");
  if (/(^|\s)-\d/.test(words)) throw new Error(words.match(/.*\s-\d.*/)[0]);
}
