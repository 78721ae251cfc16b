// A tablet whose connection comes and goes: what is entered waits, and arrives in order and once.
import { becomes } from "../shop.mjs";
import { allSent, closeBench, code, openBench, quietButAway, read, state, tabletAtStage, waits } from "../tablets.mjs";
import { enter, field, fill } from "../visits.mjs";
import { accessible } from "./pages.mjs";

export async function facts() {
  return {
    "readings entered while the connection is away arrive in order and once": inOrder,
    "an answer lost on its way enters nothing twice": lostAnswer,
    "what waits outlives a reload": reload,
    "a tablet that slept sends when it wakes": wakes,
    "a refused entry is shown for mending and leaves the list only when mended": mended,
    "a refused entry is thrown away only when that is said twice": thrownAway,
    "all stages can be leafed through while the connection is away": leafs,
    "a stage marked done while away is logged once": stageDone,
    "what is half typed stays when something else arrives": halfTyped,
    "a tablet taken away keeps what waits, and sends it when it is paired again": pairedAgain,
    "a bench that was closed is told, and what waits is sent when it is opened again": closedMeanwhile,
    "a form that asks too often waits as long as it is told": told,
    "two quick touches enter once": twice,
    "the list of what waits gives axe nothing to find": listed,
  };
}

const thickness = (fret) => (6 + fret / 100).toFixed(2);
async function enterThickness(page, fret) {
  await fill(page, { kind: "thickness", at: `fret ${fret}`, across: "centre", value: thickness(fret) });
  await enter(page);
  await becomes(() => field(page, "value"), "", "the figure's field");
  // A finger that bounces is told from one that enters again.
  await page.waitForTimeout(400);
}

const away = (page) => page.context().setOffline(true);
const back = (page) => page.context().setOffline(false);

async function inOrder(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await away(page);
  const frets = [3, 9, 1, 7, 5];
  for (const fret of frets) await enterThickness(page, fret);
  await becomes(() => state(page), /^No connection to the maker's computer.*5 entries wait here/, "what the tablet says");
  if ((await waits(page)).length !== 5) throw new Error(`${await waits(page)}`);
  if ((await read(shop, commission)).length) throw new Error("something has arrived already");
  await back(page);
  await allSent(page);
  const rows = await read(shop, commission);
  const seen = rows.map((row) => Number(row.match(/fret (\d+)/)[1]));
  if (`${seen}` !== `${frets}`) throw new Error(rows.join("\n"));
  if ((await waits(page)).length) throw new Error("the list is not empty");
  await page.reload();
  await allSent(page);
  if ((await read(shop, commission)).length !== 5) throw new Error("something arrived twice");
  quietButAway(page);
}

/** The program takes the reading in, and its answer never reaches the tablet. */
async function lostAnswer(shop) {
  const { commission, page } = await tabletAtStage(shop);
  let lost = 0;
  await page.route("**/reading", async (route) => {
    await route.fetch({ maxRedirects: 0 });
    await route.abort("connectionreset");
    lost += 1;
    // Chromium hands requests that outlive their page on to nobody: from here on none is looked at.
    if (lost === 2) await page.unroute("**/reading");
  });
  await enterThickness(page, 4);
  await enterThickness(page, 5);
  await allSent(page);
  if (lost !== 2) throw new Error(`${lost} answers were lost`);
  const rows = await read(shop, commission);
  if (rows.length !== 2) throw new Error(rows.join("\n"));
  quietButAway(page);
}

async function reload(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await page.route("**/reading", (route) => route.abort("failed"));
  await enterThickness(page, 2);
  await becomes(() => state(page), /1 entry waits here/, "what the tablet says");
  await page.reload();
  await becomes(() => state(page), /1 entry waits here/, "what the tablet says after a reload");
  await page.goto(new URL("/", page.url()).href);
  await becomes(() => state(page), /1 entry waits here/, "what the tablet says beside the commissions");
  await page.unroute("**/reading");
  await page.reload();
  await allSent(page);
  if ((await read(shop, commission)).length !== 1) throw new Error("it has not arrived");
}

/** The page is halted in its tracks, as a tablet asleep halts it (devtools protocol, Debugger.pause), while it comes back into reach. */
async function wakes(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await away(page);
  await enterThickness(page, 6);
  await becomes(() => state(page), /1 entry waits here/, "what the tablet says");
  const tools = await page.context().newCDPSession(page);
  await tools.send("Debugger.enable");
  await tools.send("Debugger.pause");
  await back(page);
  await new Promise((go) => setTimeout(go, 4000));
  if ((await read(shop, commission)).length) throw new Error("a page asleep has sent something");
  await tools.send("Debugger.resume");
  await tools.send("Debugger.disable");
  await allSent(page);
  if ((await read(shop, commission)).length !== 1) throw new Error("it has not arrived once");
  quietButAway(page);
}

async function refusedEntry(shop) {
  const tablet = await tabletAtStage(shop);
  const { page } = tablet;
  await away(page);
  await fill(page, { kind: "thickness", at: "fret 5", across: "centre", value: "thick" });
  await enter(page);
  await page.waitForTimeout(400);
  await enterThickness(page, 8);
  await back(page);
  await becomes(() => state(page), /^1 entry was refused: mend it below/, "what the tablet says");
  const [words] = await waits(page);
  if (!/thickness, fret 5, thick.*value.*thick/s.test(words)) throw new Error(words);
  return tablet;
}

async function mended(shop) {
  const { commission, page } = await refusedEntry(shop);
  if ((await read(shop, commission)).length !== 1) throw new Error("the sound one has not arrived");
  await page.reload();
  await becomes(() => waits(page).then((all) => all.length), 1, "what is listed after a reload");
  await page.getByRole("link", { name: "Next ›" }).first().click();
  await becomes(() => page.locator(".stage-steps strong").innerText(), /./, "another stage");
  await page.getByRole("button", { name: "Mend" }).click();
  await becomes(() => field(page, "value"), "thick", "the figure's field");
  if (await field(page, "at") !== "fret 5") throw new Error(`the place is ${await field(page, "at")}`);
  await page.locator("#amount").fill("6.05");
  await enter(page);
  await allSent(page);
  const rows = await read(shop, commission);
  if (rows.length !== 2 || !/fret 5.*6\.050? mm/.test(rows[1])) throw new Error(rows.join("\n"));
  if ((await waits(page)).length) throw new Error("it is still in the list");
  quietButAway(page);
}

async function thrownAway(shop) {
  const { commission, page } = await refusedEntry(shop);
  page.once("dialog", (dialog) => dialog.dismiss());
  await page.getByRole("button", { name: "Throw away" }).click();
  if ((await waits(page)).length !== 1) throw new Error("it is gone without a second word");
  page.once("dialog", (dialog) => dialog.accept());
  await page.getByRole("button", { name: "Throw away" }).click();
  await allSent(page);
  if ((await read(shop, commission)).length !== 1) throw new Error("something else has gone too");
}

async function leafs(shop) {
  const { commission, page } = await tabletAtStage(shop, { stage: "" });
  const counter = () => page.locator(".stage-steps strong").innerText();
  const all = Number((await counter()).split(" of ")[1]);
  // Fetched ahead, one after the other; nothing on the page tells of it.
  await page.waitForLoadState("networkidle");
  await away(page);
  for (let stage = 2; stage <= all; stage += 1) {
    await page.getByRole("link", { name: "Next ›" }).first().click();
    await becomes(counter, `Stage ${stage} of ${all}`, "the stage");
  }
  if (!/shown as it was at \d\d:\d\d/.test(await state(page))) throw new Error(await state(page));
  await enterThickness(page, 3);
  await page.goBack();
  await becomes(counter, `Stage ${all - 1} of ${all}`, "the stage before");
  await enterThickness(page, 4);
  await back(page);
  await allSent(page);
  const listed = await shop.text(`${commission}/readings`);
  const visits = listed.match(/visit=(\d+)/g);
  if (new Set(visits).size < 2) throw new Error("both readings joined one visit");
  quietButAway(page);
}

async function stageDone(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await away(page);
  await page.getByLabel("It took").fill("12,5");
  await page.locator("form.done").getByLabel("Note").fill("chalk broke late");
  await page.getByRole("button", { name: "This stage is done" }).click();
  await becomes(() => state(page), /1 entry waits here/, "what the tablet says");
  if (!/stage done, 12,5 min/.test((await waits(page))[0])) throw new Error(`${await waits(page)}`);
  await back(page);
  await allSent(page);
  await becomes(() => page.locator("#done").innerText(), /✓ Logged .*12\.5 min/s, "the tick");
  await page.reload();
  await allSent(page);
  const plan = await shop.text(`${commission}/bench-plan?stage=beam-P80`);
  if (plan.split("chalk broke late").length !== 2) throw new Error("it is not logged once");
  quietButAway(page);
}

async function halfTyped(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await away(page);
  await enterThickness(page, 10);
  await fill(page, { kind: "thickness", at: "fret 17", across: "lane 2", value: "6.3" });
  await page.getByLabel("It took").fill("31");
  await back(page);
  await allSent(page);
  await page.getByText("They join visit").waitFor();
  for (const [name, words] of [["at", "fret 17"], ["across", "lane 2"], ["value", "6.3"]]) {
    if (await field(page, name) !== words) throw new Error(`${name} holds "${await field(page, name)}"`);
  }
  if (await page.getByLabel("It took").inputValue() !== "31") throw new Error("the minutes are lost");
  await enter(page);
  await allSent(page);
  await becomes(() => read(shop, commission).then((rows) => rows.length), 2, "the readings");
}

async function pairedAgain(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await shop.post("/tablet/part", { tablet: "all" });
  await enterThickness(page, 11);
  await becomes(() => state(page), /not paired any more.*What waits is kept/, "what the tablet says");
  const address = page.url();
  await page.getByRole("link", { name: "Pair this tablet" }).click();
  await page.getByLabel("The code on the maker's screen").fill(await code(shop));
  await page.getByRole("button", { name: "Pair" }).click();
  await allSent(page);
  if ((await read(shop, commission)).length !== 1) throw new Error("it has not arrived");
  await page.goto(address);
  await page.getByText("They join visit").waitFor();
  quietButAway(page);
}

async function closedMeanwhile(shop) {
  const { commission, bench, page } = await tabletAtStage(shop);
  await closeBench(shop);
  await enterThickness(page, 12);
  await becomes(() => state(page), /the bench is closed there.*1 entry waits here/, "what the tablet says");
  if (await openBench(shop) !== bench) throw new Error("the bench has another address now");
  await allSent(page);
  if ((await read(shop, commission)).length !== 1) throw new Error("it has not arrived");
  quietButAway(page);
}

async function told(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await page.route("**/reading", async (route) => {
    await route.fulfill({ status: 429, headers: { "Retry-After": "3" }, body: "wait" });
    await page.unroute("**/reading");
  });
  const began = Date.now();
  await enterThickness(page, 13);
  await becomes(() => state(page), /busy/, "what the tablet says");
  await allSent(page);
  if (Date.now() - began < 3000) throw new Error(`it came again after ${Date.now() - began} ms`);
  if ((await read(shop, commission)).length !== 1) throw new Error("it has not arrived once");
}

async function twice(shop) {
  const { commission, page } = await tabletAtStage(shop);
  await fill(page, { kind: "thickness", at: "fret 5", across: "centre", value: "6.2" });
  await page.getByRole("button", { name: "Enter this reading" }).dblclick();
  await page.getByText("They join visit").waitFor();
  await allSent(page);
  if ((await read(shop, commission)).length !== 1) throw new Error("it was entered twice");
}

async function listed(shop) {
  const { bench, commission, page } = await refusedEntry(shop);
  const storageState = await page.context().storageState();
  await accessible(Object.assign(Object.create(Object.getPrototypeOf(shop)), shop, { base: bench }), `${commission}/bench?stage=beam-P80`, { storageState });
}
