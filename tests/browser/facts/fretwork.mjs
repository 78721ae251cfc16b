// The page Fretwork: fret tops entered and taken away, levelling, the measured set-up.
import { becomes, difference, figure, quiet, type } from "../shop.mjs";

export async function facts() {
  return {
    "a reading of each kind is taken in and listed": kinds,
    "a wrong reading is told in clear words, nothing is stored, and what was typed stays": wrong,
    "a reading once told wrong is mended and taken in": mended,
    "a reading is taken away again": taken,
    "the place of a reading follows what is pointed at, unless it was typed": follows,
    "the value field keeps the focus, so that the next reading can be typed": typedOn,
    "a reading half typed outlives a change of another field": halfTyped,
    "a proud fret asks to be seated, and undo brings calm": proud,
    "the least crown that stays changes what is told": crown,
    "the maps point at fret and string": maps,
    "a measured set-up may be given by halves": measured,
    "without script readings are entered and taken away": withoutScript,
    "two windows that enter readings lose neither": windows,
    "the surface stays when a reading is entered": surface,
  };
}

const form = (page) => page.locator("form.reading");
const notice = (page) => page.locator("#words .not-done").allInnerTexts().then((all) => all.join(" "));
const count = (page) => page.locator("#top-readings tbody tr").count();
const entered = (page, name) => form(page).locator(`[name=${name}]`).inputValue();

async function open(shop, { title = "Heron", address = "fretwork?fret=9&lane=1", ...options } = {}) {
  const commission = await shop.copy(title);
  const page = await shop.window(options);
  await page.goto(`${shop.base}${commission}/${address}`);
  return { commission, page };
}

/** Fills the form as given and sends it. */
async function enter(page, { kind, ...fields }) {
  if (kind) await form(page).locator(`[name=kind][value=${kind}]`).check();
  for (const [name, value] of Object.entries(fields)) await form(page).locator(`[name=${name}]`).fill(value);
  await form(page).getByRole("button", { name: "Enter" }).click();
}

async function kinds(shop) {
  const { commission, page } = await open(shop);
  await enter(page, { kind: "heights", at: "3", in: "1", value: "0.05 mm" });
  await becomes(() => count(page), 1, "readings");
  await enter(page, { kind: "gaps", at: "7", in: "2", from: "5", to: "9", value: "2 thou" });
  await becomes(() => count(page), 2, "readings");
  await enter(page, { kind: "rocks", at: "4", in: "6", value: "0" });
  await becomes(() => count(page), 3, "readings");
  const listed = (await page.locator("#top-readings").textContent()).replace(/\s+/g, " ");
  // 2 thou are 0.0508 mm exactly, by the inch of 25.4 mm.
  for (const words of ["height at fret 3, lane 1", "0.050 mm", "gap at fret 7, lane 2, straightedge on frets 5 and 9", "0.051 mm", "rocking on fret 4, lane 6"]) {
    if (!listed.includes(words)) throw new Error(`"${words}" is not in: ${listed}`);
  }
  if (!/2 thou/.test(await shop.stored(commission))) throw new Error("the reading is not stored as it was typed");
  await page.locator("#picture-tops svg").waitFor();
  if (await page.locator("nav.visits a[aria-current]").innerText() !== "the fret tops as read") throw new Error("the page is not about what was read");
  quiet(page);
}

const WRONGS = [
  [{ kind: "heights", at: "70", in: "1", value: "0.05 mm" }, /70/, /22/],
  [{ kind: "heights", at: "0", in: "1", value: "0.05 mm" }, /fret/, /1/],
  [{ kind: "heights", at: "-3", in: "1", value: "0.05 mm" }, /-3|fret/, /1/],
  [{ kind: "heights", at: "7.5", in: "1", value: "0.05 mm" }, /7\.5/, /whole number/],
  [{ kind: "heights", at: "", in: "1", value: "0.05 mm" }, /fret/, /whole number/],
  [{ kind: "heights", at: "99999999999999999999", in: "1", value: "0.05 mm" }, /fret/, /whole number|22/],
  [{ kind: "heights", at: "5", in: "0", value: "0.05 mm" }, /lane/, /1/],
  [{ kind: "heights", at: "5", in: "7", value: "0.05 mm" }, /lane/, /6/],
  [{ kind: "heights", at: "5", in: "1", value: "abc" }, /abc/, /length|number/],
  [{ kind: "heights", at: "5", in: "1", value: "" }, /reading/, /length|number|empty/],
  [{ kind: "heights", at: "5", in: "1", value: "900 mm" }, /900/, /mm/],
  [{ kind: "gaps", at: "12", in: "1", from: "1", to: "9", value: "0.05 mm" }, /12/, /between/],
  [{ kind: "gaps", at: "5", in: "1", from: "9", to: "1", value: "0.05 mm" }, /from|between/, /9|1/],
  [{ kind: "gaps", at: "5", in: "1", from: "x", to: "9", value: "0.05 mm" }, /"x"/, /whole number/],
  [{ kind: "gaps", at: "5", in: "1", from: "1", to: "9", value: "-0.05 mm" }, /-0\.05|−0\.05|gap/, /0/],
  [{ kind: "rocks", at: "1", in: "1", value: "0.05 mm" }, /fret/, /2|both|neighbour/],
  [{ kind: "rocks", at: "22", in: "1", value: "0.05 mm" }, /fret|22/, /21|both|neighbour/],
  [{ kind: "heights", at: "5", in: "1", value: "\"><b>1" }, /reading/, /./],
];

async function wrong(shop) {
  const { commission, page } = await open(shop);
  const stored = await shop.stored(commission);
  for (const [fields, ...words] of WRONGS) {
    await enter(page, fields);
    const told = await becomes(() => notice(page), (now) => now !== "" && words.every((each) => each.test(now)), `the notice for ${JSON.stringify(fields)}`);
    if (/fretwork\.|\[\d+\]/.test(told)) throw new Error(`the file's words are told to a hand at the bench: ${told}`);
    for (const [name, value] of Object.entries(fields)) {
      const now = name === "kind" ? await form(page).locator("[name=kind]:checked").inputValue() : await entered(page, name);
      if (now !== value) throw new Error(`${name} holds "${now}" after ${JSON.stringify(fields)}`);
    }
    if (await shop.stored(commission) !== stored) throw new Error(`${JSON.stringify(fields)} is stored`);
    // The next case must not find the words of this one.
    await page.reload();
    await page.locator("form.reading").waitFor();
  }
  quiet(page);
}

async function mended(shop) {
  const { page } = await open(shop);
  await enter(page, { kind: "gaps", at: "12", in: "2", from: "5", to: "9", value: "0.05 mm" });
  await becomes(() => notice(page), /between/, "the notice");
  await page.locator('#plan [data-key="fret-3"]').hover();
  await becomes(() => page.url(), /fret=3/, "the address");
  if (await entered(page, "at") !== "12") throw new Error("pointing overwrote what was typed");
  await enter(page, { at: "7" });
  await becomes(() => count(page), 1, "readings");
  await becomes(() => notice(page), "", "the notice once it is taken in");
  quiet(page);
}

async function taken(shop) {
  const { commission, page } = await open(shop, { title: "Sandpiper" });
  const before = await count(page);
  await page.locator("#top-readings summary").click();
  const row = page.locator("#top-readings tbody tr").nth(6);
  if (!/height at fret 7, lane 1/.test(await row.innerText())) throw new Error(await row.innerText());
  await row.getByRole("button", { name: "Take away" }).click();
  await becomes(() => count(page), before - 1, "readings");
  if (/fret = 7, lane = 1,/.test(await shop.stored(commission))) throw new Error("the reading is still stored");
  if (!await page.locator("#top-readings").evaluate((fold) => fold.open)) throw new Error("the list has folded up");
  // A rock is another list of the same text.
  const rock = page.locator("#top-readings tbody tr", { hasText: "rocking on fret 12" });
  await rock.getByRole("button", { name: "Take away" }).click();
  await becomes(() => count(page), before - 2, "readings");
  if (/fret = 12, lane = 2, rock/.test(await shop.stored(commission))) throw new Error("the rock is still stored");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => count(page), before - 1, "readings after undo");
  quiet(page);
}

async function follows(shop) {
  const { page } = await open(shop);
  await page.locator('#plan [data-key="fret-5"]').hover();
  await becomes(() => entered(page, "at"), "5", "the fret of the reading");
  await page.locator("#plan").focus();
  await page.keyboard.press("ArrowDown");
  await page.keyboard.press("ArrowRight");
  await becomes(() => entered(page, "at"), "6", "the fret of the reading");
  await form(page).locator("[name=at]").fill("11");
  await page.locator("#plan").focus();
  await page.keyboard.press("ArrowRight");
  await becomes(() => page.url(), /fret=7/, "the address");
  if (await entered(page, "at") !== "11") throw new Error("what was typed is overwritten");
  await enter(page, { value: "0.1 mm" });
  await becomes(() => page.locator("#top-readings").textContent(), /height at fret 11/, "the reading");
}

async function typedOn(shop) {
  const { page } = await open(shop);
  for (const [index, value] of ["0.05 mm", "0.06 mm", "0.07 mm"].entries()) {
    await (index ? page.keyboard.type(value) : form(page).locator("[name=value]").pressSequentially(value));
    await page.keyboard.press("Enter");
    await becomes(() => count(page), index + 1, "readings");
  }
  if (!/0\.070 mm/.test(await page.locator("#top-readings").textContent())) throw new Error("the last is not there");
  quiet(page);
}

async function halfTyped(shop) {
  const { commission, page } = await open(shop);
  await form(page).locator("[name=kind][value=gaps]").check();
  await form(page).locator("[name=value]").fill("0.03");
  await type(page, "fretwork-least_crown", "0.9 mm");
  await becomes(() => shop.stored(commission), /least_crown = "0\.9 mm"/, "the stored text");
  await becomes(() => page.locator("#fretwork-figures").innerText(), /every crown keeps 0\.90 mm/, "the figures");
  if (await entered(page, "value") !== "0.03") throw new Error(`the reading holds "${await entered(page, "value")}"`);
  if (await form(page).locator("[name=kind]:checked").inputValue() !== "gaps") throw new Error("its kind is forgotten");
}

/** A rock of 0.3 mm is a fret that stands proud of both neighbours. */
async function proud(shop) {
  const { page } = await open(shop);
  if (await figure(page, "Seat first") !== "nothing") throw new Error("a plan has proud frets");
  await enter(page, { kind: "rocks", at: "9", in: "3", value: "0.3 mm" });
  await becomes(() => figure(page, "Seat first"), /mm$/, "what is to be seated");
  if (!/fret 9/.test(await page.locator("#fretwork-figures").innerText())) throw new Error("the fret is not named");
  await becomes(() => page.locator("#levelling-words").innerText(), /[Ss]eat fret 9/, "what is told");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "Seat first"), "nothing", "after undo");
  await page.getByRole("button", { name: "Redo" }).click();
  await becomes(() => figure(page, "Seat first"), /mm$/, "after redo");
  await enter(page, { kind: "rocks", at: "9", in: "3", value: "0.2 mm" });
  await becomes(() => difference(page, "Seat first"), /^[−+]0\.\d+ mm$/, "the difference");
  quiet(page);
}

async function crown(shop) {
  const { page } = await open(shop, { title: "Sandpiper" });
  await type(page, "fretwork-seat_bound", "0.5 mm");
  await becomes(() => figure(page, "Seat first"), "nothing", "what is to be seated, with a wide bound");
  await becomes(() => figure(page, "File off at most"), /mm$/, "what is filed");
  const filed = await figure(page, "File off at most");
  await type(page, "fretwork-least_crown", "1.08 mm");
  await becomes(() => page.locator("#fretwork-figures").innerText(), /every crown keeps 1\.08 mm/, "the bound");
  await becomes(() => page.locator("#fretwork-figures").innerText(), /filing cannot do it|cannot free lanes? \d/, "the levelling with hardly a crown to spare");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "File off at most"), filed, "after undo");
  await page.getByRole("button", { name: "Undo" }).click();
  await becomes(() => figure(page, "File off at most"), "nothing", "after undoing both");
  await becomes(() => figure(page, "Seat first"), /mm$/, "what is to be seated");
  quiet(page);
}

async function maps(shop) {
  const { page } = await open(shop, { title: "Sandpiper" });
  await page.locator('#picture-tops [data-key="fret-12"] > g').nth(4).click();
  await becomes(() => page.url(), /fret=12&lane=4/, "the address");
  await page.locator("#levelling-table summary").click();
  await becomes(() => page.locator("#levelling-table tr.here th").innerText(), "fret 12", "the table's row");
  await page.locator('#levelling-table tr[data-fret="3"]').click();
  await becomes(() => page.locator("#levelling-table tr.here th").innerText(), "fret 3", "the table's row");
  if (!await page.locator("#levelling-table").evaluate((fold) => fold.open)) throw new Error("the table has folded up");
  quiet(page);
}

async function measured(shop) {
  const { page } = await open(shop);
  const heads = () => page.locator("#set-up thead").first().innerText();
  if (/measured/.test(await heads())) throw new Error("something is measured before anything is");
  await type(page, "set_up-relief", "0.3 mm");
  await becomes(() => page.locator("#field-set_up-relief").inputValue(), "0.3 mm", "the relief");
  for (const [field, value] of [["treble", "2 mm"], ["bass", "2.4 mm"]]) {
    await type(page, `set_up-action_at_12-${field}`, value);
    await becomes(() => page.locator(`#field-set_up-action_at_12-${field}`).inputValue(), value, `the ${field} action`);
    if (await page.locator(".notice.not-done").count()) throw new Error(`${field}: ${await notice(page)}`);
    const told = await page.locator(".faults").allInnerTexts();
    if (told.length && field === "bass") throw new Error(told.join(" "));
    // Half a measurement is kept, and what is missing is told.
    if (told.length && !/bass/.test(told.join(" "))) throw new Error(`what is missing is not told: ${told.join(" ")}`);
  }
  await type(page, "set_up-action_at_1-treble", "0.6 mm");
  await type(page, "set_up-action_at_1-bass", "0.7 mm");
  await becomes(heads, /measured/, "the table");
  await becomes(() => page.locator("#set-up").innerText(), /Relief first: from 0\.30 mm to 0\.15 mm/, "what is told of relief");
  if (!/2\.00 mm/.test(await page.locator("#set-up tbody tr").first().innerText())) throw new Error(await page.locator("#set-up tbody tr").first().innerText());
  if (!/2\.40 mm/.test(await page.locator("#set-up tbody tr").nth(5).innerText())) throw new Error(await page.locator("#set-up tbody tr").nth(5).innerText());
  quiet(page);
}

async function withoutScript(shop) {
  const { page } = await open(shop, { javaScriptEnabled: false });
  await enter(page, { kind: "gaps", at: "7", in: "2", from: "5", to: "9", value: "0.05 mm" });
  if (await count(page) !== 1) throw new Error("the reading is not taken in");
  await enter(page, { kind: "heights", at: "70", in: "2", value: "0.05 mm" });
  if (!/70/.test(await notice(page)) || await entered(page, "at") !== "70") throw new Error(await notice(page));
  await page.locator("#top-readings summary").click();
  await page.getByRole("button", { name: "Take away" }).click();
  if (await count(page) !== 0) throw new Error("the reading is still there");
}

async function windows(shop) {
  const { commission, page } = await open(shop);
  const other = await shop.window();
  await other.goto(page.url());
  await enter(page, { kind: "heights", at: "3", in: "1", value: "0.05 mm" });
  await becomes(() => count(page), 1, "readings");
  await enter(other, { kind: "heights", at: "4", in: "1", value: "0.06 mm" });
  await becomes(() => count(other), 2, "readings of both windows");
  // The first window's list is old: the line that was seen goes, whatever else has changed.
  await type(other, "fretwork-least_crown", "0.9 mm");
  await becomes(() => shop.stored(commission), /least_crown/, "the stored text");
  await page.locator("#top-readings summary").click();
  await page.getByRole("button", { name: "Take away" }).click();
  await becomes(() => count(page), 1, "readings");
  await becomes(() => shop.stored(commission), (text) => /fret = 4/.test(text) && !/fret = 3,/.test(text) && /least_crown/.test(text), "the stored text");
}

async function surface(shop) {
  const { page } = await open(shop, { title: "Sandpiper", address: "fretwork?on=planned&fret=9&lane=1" });
  await enter(page, { kind: "rocks", at: "9", in: "1", value: "0.01 mm" });
  await becomes(() => count(page), 76, "readings");
  if (await page.locator("nav.visits a[aria-current]").innerText() !== "the planned surface") throw new Error(await page.locator("nav.visits a[aria-current]").innerText());
  quiet(page);
}
