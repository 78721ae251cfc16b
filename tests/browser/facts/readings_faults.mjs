// Readings that make no sense, come twice, or are doubted: named, kept, and never lost.
import { becomes, quiet } from "../shop.mjs";
import { enter, field, fill, listed, notice, open, paste, rows, table, unfoldList } from "../visits.mjs";

/** What is typed, and what the words must say. */
const BAD = [
  ["letters for a figure", { kind: "thickness", at: "fret 3", across: "centre", value: "thick" }, [/value/, /thick/]],
  ["negative light", { kind: "light", shows: "edges", at: "fret 3", value: "-0.1 mm" }, [/value/, /-0\.1|−0\.1/, /more than 0|10 mm/]],
  ["a place off the board", { kind: "thickness", at: "900 mm", across: "centre", value: "6" }, [/at/, /900/]],
  ["a fret that is not there", { kind: "thickness", at: "fret 99", across: "centre", value: "6" }, [/at/, /99/, /22/]],
  ["an empty figure", { kind: "thickness", at: "fret 3", across: "centre", value: "" }, [/value/]],
  ["a figure of no size", { kind: "thickness", at: "fret 3", across: "centre", value: "1e99" }, [/value/, /1e99/]],
];

export async function facts() {
  const all = {};
  for (const [name, reading, words] of BAD) {
    all[`${name}: told, kept in its fields, not stored`] = (shop) => refused(shop, reading, words, {});
    all[`${name}, without script`] = (shop) => refused(shop, reading, words, { javaScriptEnabled: false });
  }
  return {
    ...all,
    "a gauge that is not in the kit is named, and nothing is taken in": strangeGauge,
    "one bad line: nothing is taken in until the sound ones are wanted": oneBadLine,
    "nonsense pasted is told": nonsense,
    "a double click enters once": doubleClick,
    "a form sent again with the same key enters once": sentAgain,
    "going on after a program that did not answer enters once": noAnswer,
    "set aside with a reason, and taken back in": setAside,
    "a whole batch set aside, and taken back in": wholeBatch,
    "light ten times too large is doubted by name": doubted,
    "another commission's visit is not there": foreignVisit,
    "words that look like markup stay words": markup,
    "what is half typed is kept when something else is sent": halfTyped,
  };
}

async function refused(shop, reading, words, options) {
  const { page } = await open(shop, options);
  await fill(page, { ...reading, note: "a long thought" });
  await enter(page);
  await becomes(() => notice(page), /Not done/, "what is said");
  const said = await notice(page);
  for (const word of words) if (!word.test(said)) throw new Error(`${word} is not in: ${said}`);
  for (const name of ["at", "value", "note"]) {
    const kept = name === "note" ? "a long thought" : reading[name];
    if (kept !== undefined && await field(page, name) !== kept) throw new Error(`${name} holds "${await field(page, name)}" instead of "${kept}"`);
  }
  if (!await page.locator(`form.reading [name=kind][value=${reading.kind}]`).isChecked()) throw new Error("the kind is lost");
  await page.goto(page.url().replace(/\/reading$/, "/readings"));
  if (await rows(page)) throw new Error("it is stored all the same");
}

async function strangeGauge(shop) {
  const { page } = await open(shop);
  await paste(page, "kind,tool,at,shows\nlight,11 in,fret 9,none\nlight,12 in,fret 9,none");
  await becomes(() => notice(page), /nothing is taken in yet/, "what is said");
  const said = await notice(page);
  for (const word of [/line 2/, /tool/, /11 in|279\.4/]) if (!word.test(said)) throw new Error(`${word} is not in: ${said}`);
  if (!/kit/.test(said)) throw new Error(`no way out is told: ${said}`);
  if (await rows(page)) throw new Error("something is stored");
}

async function oneBadLine(shop) {
  const { page } = await open(shop);
  const text = "kind,at,across,value\nthickness,fret 1,centre,6.2\nthickness,fret 2,centre,thick\nthickness,fret 3,centre,6.2";
  await paste(page, text);
  await becomes(() => notice(page), /nothing is taken in yet.*line 3.*thick/s, "what is said");
  if (await page.locator("#many").inputValue() !== text) throw new Error("what was pasted is gone");
  if (await rows(page)) throw new Error("something is stored");
  await page.getByRole("button", { name: "Take in the sound lines only" }).click();
  await becomes(() => rows(page), 2, "readings that count");
  if (!/thick/.test(await page.locator("#list .faults").innerText())) throw new Error("the bad line is not listed");
  await page.locator("#list .faults").getByText("Not counted").waitFor();
  if (await page.locator("#many").inputValue()) throw new Error("the box still holds what was taken in");
  quiet(page);
}

async function nonsense(shop) {
  const { page } = await open(shop);
  for (const text of ["hello", "kind\n", "kind,shape\nlight,round", "\u0000\u0001", "1 2", '"', "kind,at\n\"light,fret 1"]) {
    await paste(page, text);
    await becomes(() => notice(page), /nothing is taken in yet.{5}/s, `what is said of ${JSON.stringify(text)}`);
    if (await rows(page)) throw new Error(`${JSON.stringify(text)} is stored`);
    await page.goto(page.url());
  }
}

async function doubleClick(shop) {
  const { page } = await open(shop);
  await page.route("**/reading", async (route) => { await new Promise((go) => setTimeout(go, 150)); await route.continue(); });
  await fill(page, { kind: "thickness", at: "fret 3", across: "centre", value: "6.2" });
  await page.getByRole("button", { name: "Enter this reading" }).dblclick();
  await becomes(() => rows(page), 1, "readings");
  await new Promise((go) => setTimeout(go, 700));
  await page.reload();
  if (await rows(page) !== 1) throw new Error(`${await rows(page)} readings`);
  if (await notice(page)) throw new Error(await notice(page));
}

async function sentAgain(shop) {
  const { commission, visit, address, page } = await open(shop);
  const fields = { page: "readings", fret: 0, lane: 0, visit, kind: "thickness", at: "fret 3", across: "centre", value: "6.2", sent_key: "a-key" };
  for (let time = 0; time < 3; time += 1) {
    const answer = await shop.post(`${commission}/reading`, fields);
    if (answer.status !== 303) throw new Error(`the form answers ${answer.status}`);
  }
  await page.goto(shop.base + address);
  if (await rows(page) !== 1) throw new Error(`${await rows(page)} readings`);
  const answer = await shop.post(`${commission}/reading`, { ...fields, value: "6.4" });
  if (!/not-done/.test(await answer.text())) throw new Error("another reading under the same key is swallowed");
}

async function noAnswer(shop) {
  const { page } = await open(shop);
  // The program takes the form in, and its answer is lost on the way.
  await page.route("**/reading", async (route) => { await route.fetch({ maxRedirects: 0 }); await route.abort(); }, { times: 1 });
  await fill(page, { kind: "thickness", at: "fret 3", across: "centre", value: "6.2" });
  await enter(page);
  await becomes(() => notice(page), /does not answer/, "what is said");
  if (await field(page, "value") !== "6.2") throw new Error("what was typed is gone");
  await enter(page);
  await becomes(() => rows(page), 1, "readings");
}

const crown = (page) => page.locator("#estimate tbody tr").first().locator("td").first().innerText();

async function setAside(shop) {
  const { page } = await open(shop, { text: table(0.3) });
  const before = await crown(page);
  await unfoldList(page);
  const thick = page.locator("#list tbody tr", { hasText: "thickness" }).first();
  await thick.locator("[name=reason]").fill("caliper tipped <b>");
  await thick.getByRole("button", { name: "Set aside" }).click();
  await becomes(() => rows(page), 64, "readings that count");
  await page.locator("ul.aside li", { hasText: "caliper tipped <b>" }).waitFor();
  await page.reload();
  await page.getByRole("button", { name: /Take back in/ }).click();
  await becomes(() => rows(page), 65, "readings that count");
  if (await crown(page) !== before) throw new Error("the figures are not what they were");
  quiet(page);
}

async function wholeBatch(shop) {
  const { page } = await open(shop, { text: table(0.3) });
  await paste(page, "kind,at,across,value\n" + [1, 5, 9, 13, 17].map((fret) => `thickness,fret ${fret},lane 2,6.9`).join("\n"));
  await becomes(() => rows(page), 70, "readings that count");
  const before = await crown(page);
  const batch = page.locator("ul.aside li", { has: page.getByRole("button", { name: "Set all aside" }) }).last();
  await batch.locator("[name=reason]").fill("wrong caliper");
  await batch.getByRole("button").click();
  await becomes(() => rows(page), 65, "readings that count");
  if (await crown(page) === before) throw new Error(`the crown is told as ${before} with and without them`);
  await page.getByRole("button", { name: "Take back in", exact: true }).click();
  await becomes(() => rows(page), 70, "readings that count");
  if (await crown(page) !== before) throw new Error("the figures are not what they were");
  quiet(page);
}

/** Light at both edges of Heron under a gauge of 10 in at a fret, by closed form, mm. */
function light(fret) {
  const x = 635 * (1 - 2 ** (-fret / 12)), half = (42.5 + 14 * x / 464.8) / 2;
  const drop = (radius) => radius - Math.sqrt(radius * radius - half * half);
  return drop(240 + 160 * x / (635 * (1 - 2 ** (-22 / 12)))) - drop(254);
}

async function doubted(shop) {
  const { page } = await open(shop);
  const shows = (fret) => (light(fret) > 0 ? "edges" : "crown");
  const times = (fret) => (fret === 15 ? 10 : 1);
  const lines = [1, 2, 5, 7, 9, 11, 13, 15, 17, 19, 21].map((fret) => `light,10 in,fret ${fret},${shows(fret)},${(times(fret) * Math.abs(light(fret))).toFixed(3)}`);
  await paste(page, `kind,tool,at,shows,value\n${lines.join("\n")}`);
  await becomes(() => rows(page), 11, "readings that count");
  const first = await page.locator("#doubts li").first().innerText();
  if (!/Doubted: light, fret 15 .*a decimal point\?/.test(first)) throw new Error(first);
  // Set aside, it takes nothing else with it.
  await unfoldList(page);
  const row = page.locator("#list tbody tr", { hasText: "fret 15" });
  await row.locator("[name=reason]").fill("a decimal point");
  await row.getByRole("button", { name: "Set aside" }).click();
  await becomes(() => rows(page), 10, "readings that count");
  if (/Doubted/.test(await page.locator("#page-readings").innerText())) throw new Error(await page.locator("#doubts").innerText());
  quiet(page);
}

async function foreignVisit(shop) {
  const [one, other] = [await open(shop), await open(shop)];
  const answer = await shop.post(`${one.commission}/reading`, { page: "readings", fret: 0, lane: 0, visit: other.visit, kind: "thickness", at: "fret 3", across: "centre", value: "6.2" });
  if (answer.status !== 404) throw new Error(`the form answers ${answer.status}`);
  for (const visit of ["999999", "x", ""]) {
    const answer = await shop.post(`${one.commission}/reading`, { page: "readings", visit, kind: "thickness", at: "fret 3", across: "centre", value: "6.2" });
    if (answer.status < 400 || answer.status > 499) throw new Error(`visit "${visit}" answers ${answer.status}`);
  }
  await other.page.reload();
  if (await rows(other.page)) throw new Error("it is stored in the other commission");
}

async function markup(shop) {
  const { page } = await open(shop);
  const words = '<img src=x onerror="document.title=1">, "said"';
  await fill(page, { kind: "thickness", at: "fret 3", across: "centre", value: "6.2", note: words });
  await enter(page);
  await becomes(() => rows(page), 1, "readings");
  if (!(await listed(page)).includes(words)) throw new Error(await listed(page));
  quiet(page);
}

async function halfTyped(shop) {
  const { page } = await open(shop, { text: table(0.3) });
  await fill(page, { kind: "gap", at: "fret 3", across: "lane 4", value: "0.2", note: "under the lamp" });
  await unfoldList(page);
  const first = page.locator("#list tbody tr").first();
  await first.locator("[name=reason]").fill("slipped");
  await first.getByRole("button", { name: "Set aside" }).click();
  await becomes(() => rows(page), 64, "readings that count");
  for (const [name, words] of [["at", "fret 3"], ["across", "lane 4"], ["value", "0.2"], ["note", "under the lamp"]]) {
    if (await field(page, name) !== words) throw new Error(`${name} holds "${await field(page, name)}" instead of "${words}"`);
  }
}
